// A QR as one path of an SVG, so that it prints sharp and needs no picture.
//
// [qr-path 1] Every dark module, and no other, is in the path; runs of a row are one stroke.
// [qr-path 2] Four light modules are left free on every side.
// Source: ISO/IEC 18004, section 5.3.8 of the 2015 edition, for the quiet zone; cited from memory.

import { encodeQR } from "qr";

/** A QR to draw: the side of its square in modules, quiet zone and all, and the path of what is dark. */
export type QrPath = { readonly side: number; readonly path: string };

const quietModules = 4;

/** The QR of a text, with about 15 % of it to spare for dirt. Errors: qr's, for a text too long. */
export function qrPath(text: string): QrPath {
  const rows = encodeQR(text, "raw", { ecc: "medium", border: quietModules });
  return { side: rows.length, path: rows.map(rowPath).join("") };
}

function rowPath(row: readonly boolean[], y: number): string {
  let path = "";
  let fromX = 0;
  while (fromX < row.length) {
    let toX = fromX + 1;
    while (toX < row.length && row[toX] === row[fromX]) toX += 1;
    const width = toX - fromX;
    if (row[fromX] === true) path += `M${fromX} ${y}h${width}v1h-${width}z`;
    fromX = toX;
  }
  return path;
}
