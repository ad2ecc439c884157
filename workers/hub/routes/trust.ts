// GET /trust and GET /trust/authority.crt: how a tablet comes to trust this hub.
//
// [trust 1] Only the authority's certificate is ever handed out, as the media type that makes a tablet
//   offer to install it.
// [trust 2] Without an authority of the hub's own, the page says that nothing need be done.

import { refuse } from "../answer.ts";
import type { Hub, HubContext } from "../hub.ts";
import { trustCautions, trustSteps } from "../tls/trust-steps.ts";

/** Answers GET /trust with a page that needs no script. Errors: none. */
export async function answerTrust(hub: Hub): Promise<Response> {
  const certificate = hub.standing.certificate;
  const headers = { "content-type": "text/html; charset=utf-8", "cache-control": "no-store" };
  if (certificate === null || certificate.authority === null)
    return new Response(page("<p>Nothing need be done on this device to trust this hub.</p>"), {
      headers,
    });
  const steps = trustSteps.map(
    ({ device, steps: ofDevice }) => `<h2>${escapeHtml(device)}</h2><ol>${items(ofDevice)}</ol>`,
  );
  const body = [
    `<p><a href="/trust/authority.crt" download>Download the certificate</a></p>`,
    `<p>Its fingerprint (SHA-256): <code>${certificate.authority.fingerprint}</code></p>`,
    `<ul>${items(trustCautions)}</ul>`,
    ...steps,
    `<h2>Then open the hub</h2><p>It is good for: ${escapeHtml(certificate.names.join(", "))}.</p>`,
  ];
  return new Response(page(body.join("\n")), { headers });
}

/** Answers GET /trust/authority.crt. Errors: none. */
export async function answerAuthority(hub: Hub, c: HubContext): Promise<Response> {
  const authority = hub.standing.certificate?.authority ?? null;
  if (authority === null) return refuse(c, authorityNone);
  return new Response(new Uint8Array(authority.bytes), {
    headers: {
      "content-type": "application/x-x509-ca-cert",
      "content-disposition": 'attachment; filename="lanehold-authority.crt"',
      "content-length": String(authority.bytes.length),
      "cache-control": "no-store",
    },
  });
}

function page(body: string): string {
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Trust this hub</title>
<h1>Trust this hub</h1>
${body}
</html>
`;
}

function items(texts: readonly string[]): string {
  return texts.map((text) => `<li>${escapeHtml(text)}</li>`).join("");
}

function escapeHtml(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;");
}

const authorityNone = {
  status: 404,
  code: "authority-none",
  says: "This hub has no authority of its own.",
  mend: "Nothing need be done to trust it.",
} as const;
