// Contrast of the look's colours, by WCAG 2.2's relative luminance and contrast ratio.

import { readFileSync } from "node:fs";
import { expect, test } from "vitest";

type Theme = "day" | "night";

const css = readFileSync("app/look/tokens.css", "utf8");
const tokens = new Map(
  [...css.matchAll(/--([a-z-]+):\s*([^;]+);/g)].map((match) => [match[1] ?? "", match[2] ?? ""]),
);

const textPairs: readonly (readonly [ink: string, ground: string])[] = [
  ["ink", "water"],
  ["ink", "paper"],
  ["ink", "paper-sunk"],
  ["ink", "against-ground"],
  ["ink", "overprint-ground"],
  ["ink-soft", "water"],
  ["ink-soft", "paper"],
  ["ink-soft", "paper-sunk"],
  ["ink-soft", "overprint-ground"],
  ["deed", "water"],
  ["deed", "paper"],
  ["deed-ink", "deed"],
  ["paper", "ink"],
  ["overprint", "overprint-ground"],
  ["overprint", "paper"],
  ["against", "against-ground"],
  ["open", "paper"],
  ["on-orange-yellow", "safety-orange"],
  ["on-orange-yellow", "safety-yellow"],
  ["on-blue-red", "safety-blue"],
  ["on-blue-red", "safety-red"],
];

// What is no text but must be seen: WCAG 2.2, 1.4.11.
const drawnPairs: readonly (readonly [drawn: string, ground: string])[] = [
  ["rule", "paper"],
  ["rule", "water"],
  ["focus", "paper"],
  ["focus", "water"],
  ...["blue", "orange", "green", "purple", "grey"].map(
    (lane) => [`lane-${lane}`, "paper"] as const,
  ),
];

for (const theme of ["day", "night"] as const) {
  test.each(textPairs)(`[look 1] ${theme}: %s on %s is at least 7:1`, (ink, ground) => {
    expect(contrast(colour(ink, theme), colour(ground, theme))).toBeGreaterThanOrEqual(7);
  });

  test.each(drawnPairs)(`${theme}: %s on %s is at least 3:1`, (drawn, ground) => {
    expect(contrast(colour(drawn, theme), colour(ground, theme))).toBeGreaterThanOrEqual(3);
  });
}

test("the formula gives the 21:1 of black on white and the 4.54:1 of #767676 on white", () => {
  // W3C, WCAG 2.2, "contrast ratio"; #767676 is the lightest grey that passes 4.5:1.
  expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 5);
  expect(contrast("#767676", "#ffffff")).toBeCloseTo(4.54, 2);
});

function colour(name: string, theme: Theme): string {
  const value = tokens.get(name);
  if (value === undefined) throw new Error(`no token ${name}`);
  const both = /^light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)$/.exec(value);
  return (theme === "day" ? both?.[1] : both?.[2]) ?? value;
}

function contrast(first: string, second: string): number {
  const [lighter, darker] = [luminance(first), luminance(second)].toSorted((a, b) => b - a);
  return ((lighter ?? 0) + 0.05) / ((darker ?? 0) + 0.05);
}

function luminance(hex: string): number {
  const [red, green, blue] = [1, 3, 5].map((at) => {
    const part = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * (red ?? 0) + 0.7152 * (green ?? 0) + 0.0722 * (blue ?? 0);
}
