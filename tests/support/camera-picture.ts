// What a browser's camera sees in a test: a QR held before it, as a film that Chromium plays.

import { writeFileSync } from "node:fs";
import { encodeQR } from "qr";

/** Flags of a Chromium whose camera plays a film, without asking whether it may. */
export function cameraFlags(film: string): readonly string[] {
  return [
    "--use-fake-device-for-media-stream",
    "--use-fake-ui-for-media-stream",
    `--use-file-for-fake-video-capture=${film}`,
  ];
}

const width = 640;
const height = 480;
const paper = 225;
const ink = 40;
const wall = 150;

/**
 * Writes a film of one second in which a QR is held still: YUV4MPEG2, 4:2:0, as Chromium takes it.
 *
 * @param text what the QR says
 */
export function filmQr(film: string, text: string): void {
  const rows = encodeQR(text, "raw", { ecc: "medium", border: 4 });
  const dots = Math.floor((height - 60) / rows.length);
  const luma = Buffer.alloc(width * height, wall);
  const left = Math.floor((width - rows.length * dots) / 2);
  const top = Math.floor((height - rows.length * dots) / 2);
  for (let y = 0; y < rows.length * dots; y += 1) {
    for (let x = 0; x < rows.length * dots; x += 1) {
      const isDark = rows[Math.floor(y / dots)]?.[Math.floor(x / dots)] === true;
      luma[(top + y) * width + left + x] = isDark ? ink : paper;
    }
  }
  const colourless = Buffer.alloc((width * height) / 2, 128);
  const frame = Buffer.concat([Buffer.from("FRAME\n"), luma, colourless]);
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`);
  writeFileSync(film, Buffer.concat([head, ...Array.from({ length: 10 }, () => frame)]));
}
