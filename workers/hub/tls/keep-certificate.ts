// Keeps the certificate of a hub that runs: reads it anew when told to, and warns before it ends.
//
// [keep-certificate 1] A certificate that cannot serve never takes the place of one that does.
// [keep-certificate 2] From `warnDays` before the end on, the log is warned once a day.

import type { Server as SecureServer } from "node:https";
import type { Hub } from "../hub.ts";
import { certificateDaysLeft, warnDays } from "../standing.ts";
import { CertificateWrongError } from "./certificate-wrong-error.ts";
import { loadCertificate } from "./load-certificate.ts";
import type { CertificateFiles } from "./load-certificate.ts";

/** The certificate of a hub that runs. */
export type CertificateKeeper = {
  /** Reads the files anew, as on SIGHUP. @returns whether what they hold serves now */
  readonly reload: () => boolean;
  /** Watches no more. */
  readonly stop: () => void;
};

const dayMs = 86_400_000;

/** Begins to watch over the certificate in the hub's standing. Errors: none. */
export function keepCertificate(
  hub: Pick<Hub, "standing" | "clock" | "log">,
  { server, files, host }: ServedCertificate,
): CertificateKeeper {
  const { standing, clock, log } = hub;
  const tell = (): void => {
    for (const says of standing.certificate?.doubts ?? [])
      log("warn", "certificate.doubted", { says });
    warnOfEnd();
  };
  const warnOfEnd = (): void => {
    const days = certificateDaysLeft(standing, clock.nowMs());
    if (days !== null && days < warnDays) log("warn", "certificate.ending", { daysLeft: days });
  };
  tell();
  return {
    stop: clock.every(dayMs, warnOfEnd),
    reload() {
      try {
        const certificate = loadCertificate(files, { host, nowMs: clock.nowMs() });
        server.setSecureContext(secureContextOf(certificate));
        standing.certificate = certificate;
      } catch (cause) {
        if (!(cause instanceof CertificateWrongError)) throw cause;
        log("error", "certificate.refused", { says: cause.message });
        return false;
      }
      log("info", "certificate.read", { endsAtMs: standing.certificate.endsAtMs });
      tell();
      return true;
    },
  };
}

/** What is served with it, and where it comes from. */
export type ServedCertificate = {
  readonly server: Pick<SecureServer, "setSecureContext">;
  readonly files: CertificateFiles;
  readonly host: string;
};

/** A certificate as Node's TLS takes it. Older versions than TLS 1.2 are refused. */
export function secureContextOf({
  certificatePem,
  keyPem,
}: {
  readonly certificatePem: string;
  readonly keyPem: string;
}) {
  return { cert: certificatePem, key: keyPem, minVersion: "TLSv1.2" } as const;
}
