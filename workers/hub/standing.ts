// How a hub stands, for whoever watches over it.

import type { HubCertificate } from "./tls/load-certificate.ts";

/** What changes about a hub while it runs, besides its records. */
export type Standing = {
  /** It has been told to stop, and wants no new devices. */
  isDraining: boolean;
  /** What it serves TLS with; null: it does not. */
  certificate: HubCertificate | null;
};

/** The standing of a hub that has just been started. */
export function createStanding(certificate: HubCertificate | null = null): Standing {
  return { isDraining: false, certificate };
}

/** From so many days before its end on, a certificate is warned of. */
export const warnDays = 30;

/** Whole days until the certificate ends; below 0 once it has ended. Null: there is none. Errors: none. */
export function certificateDaysLeft({ certificate }: Standing, nowMs: number): number | null {
  return certificate === null ? null : Math.floor((certificate.endsAtMs - nowMs) / 86_400_000);
}
