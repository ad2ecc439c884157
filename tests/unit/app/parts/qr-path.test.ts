import { decodeQR } from "qr/decode.js";
import { expect, test } from "vitest";
import { qrPath } from "../../../../app/parts/qr-path.ts";
import type { QrPath } from "../../../../app/parts/qr-path.ts";

const link =
  "https://hub.example:8443/#join=BCDF-GHJK&run=abcdefghijklmnopqrstuvwxyz.bcdf234567jkl";

// Paints a path as a printer would, so many dots to a module.
function paint({ side, path }: QrPath, dots: number) {
  const width = side * dots;
  const data = new Uint8ClampedArray(width * width * 4).fill(255);
  for (const [, x, y, across] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    for (let down = 0; down < dots; down += 1) {
      const from = (Number(y) * dots + down) * width + Number(x) * dots;
      for (let dot = from; dot < from + Number(across) * dots; dot += 1) {
        data.fill(0, dot * 4, dot * 4 + 3);
      }
    }
  }
  return { width, height: width, data };
}

test.each(["A", link, `${link}${"x".repeat(400)}`])(
  "[qr-path 1] what is drawn reads as what was said: %s",
  (text) => {
    expect(decodeQR(paint(qrPath(text), 4))).toBe(text);
  },
);

test("[qr-path 2] four modules on every side are light", () => {
  const { side, path } = qrPath(link);
  for (const [, x, y, across] of path.matchAll(/M(\d+) (\d+)h(\d+)/g)) {
    expect(Number(x)).toBeGreaterThanOrEqual(4);
    expect(Number(x) + Number(across)).toBeLessThanOrEqual(side - 4);
    expect(Number(y)).toBeGreaterThanOrEqual(4);
    expect(Number(y)).toBeLessThan(side - 4);
  }
});
