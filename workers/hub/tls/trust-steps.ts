// How a person makes a tablet trust the hub's authority: printed by the command, and on the page /trust.
//
// In general words, since these settings move from version to version. Common practice, no source.

/** The steps on one sort of device. */
export type TrustSteps = { readonly device: string; readonly steps: readonly string[] };

/** For each sort of device. */
export const trustSteps: readonly TrustSteps[] = [
  {
    device: "iPad (iPadOS)",
    steps: [
      "Open this page in Safari and download the certificate; allow the profile.",
      "Settings, Profile Downloaded (or General, VPN & Device Management): install the profile.",
      "Settings, General, About, Certificate Trust Settings: switch on full trust for it. " +
        "Without this step nothing works.",
      "Open the hub in Safari, add it to the home screen, and join runs from there only: " +
        "what Safari itself has stored is not seen from the home screen.",
    ],
  },
  {
    device: "Android",
    steps: [
      "Download the certificate from this page.",
      "Settings, Security, Encryption & credentials, Install a certificate, CA certificate: " +
        "choose the file. The tablet must have a screen lock, and warns that the network may be watched.",
      "Open the hub in Chrome and install it from the menu.",
    ],
  },
  {
    device: "Windows",
    steps: [
      "Download the certificate and open it: Install Certificate, Current User.",
      "Place it in the store Trusted Root Certification Authorities; agree to the warning.",
      "Close the browser and open the hub.",
    ],
  },
  {
    device: "macOS",
    steps: [
      "Download the certificate and open it: Keychain Access adds it to the login keychain.",
      "Open it there, Trust, Secure Sockets Layer: Always Trust.",
      "Close the browser and open the hub.",
    ],
  },
];

/** What is to be said of any device. */
export const trustCautions: readonly string[] = [
  "Compare the fingerprint on the device with the one that the command printed at the hub, before you " +
    "trust it.",
  "This authority can vouch for the names of this hub only; it says so itself, in its certificate.",
  "If the facility manages its tablets, let that system hand out the certificate instead.",
];
