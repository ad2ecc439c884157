// What the parts of the plan check are called, and what each looks at.

/** A part of the check in words. */
export type PartWords = { readonly name: string; readonly looksAt: string };

/** The words for a part of the check, or for what it does around them. Errors: none; an unknown one keeps its name. */
export function partWords(name: string): PartWords {
  return partsKnown[name] ?? { name, looksAt: "" };
}

const partsKnown: Readonly<Record<string, PartWords>> = {
  order: {
    name: "Order of the lanes",
    looksAt:
      "In whatever order the lanes go on: waiting for each other, tethers, places, items, tools, the arm, what a step relies on, hazard statements.",
  },
  return: {
    name: "Return to the hatch",
    looksAt: "From every step of every suited lane, contingency tasks left out.",
  },
  buddies: {
    name: "Reaching each other",
    looksAt: "Whether each suited person can reach the other, contingency tasks left out.",
  },
  consumables: {
    name: "Consumables",
    looksAt: "What the suits hold against what the steps use, contingency tasks left out.",
  },
  light: {
    name: "Light",
    looksAt: "Whether each step that needs light fits into the longest light.",
  },
  time: {
    name: "Time",
    looksAt:
      "Clocks, windows and the run’s limit, whatever each step takes between its least and its longest. Gates and recurring checks are given no time of their own.",
  },
  reading: { name: "Reading the procedure", looksAt: "" },
  figures: { name: "Return and suit figures", looksAt: "" },
};
