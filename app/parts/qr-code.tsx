// A QR, drawn.

import { useMemo } from "preact/hooks";
import "./qr-code.css";
import { qrPath } from "./qr-path.ts";

/** What the QR says, and what it is for: the words for who cannot see it. */
export type QrCodeProps = { readonly text: string; readonly label: string };

/** The QR of a text: black on white in either theme, for cameras want it so. */
export function QrCode({ text, label }: QrCodeProps) {
  const { side, path } = useMemo(() => qrPath(text), [text]);
  return (
    <svg class="qr-code" role="img" aria-label={label} viewBox={`0 0 ${side} ${side}`}>
      <rect class="qr-code__ground" width={side} height={side} />
      <path class="qr-code__modules" d={path} />
    </svg>
  );
}
