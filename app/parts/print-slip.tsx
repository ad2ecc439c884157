// Printing one slip of paper instead of the whole screen.
//
// [print-slip 1] What is printed is the slip alone, black on white; nothing of it stays afterwards.

import { render } from "preact";
import type { ComponentChild } from "preact";
import "./print-slip.css";

let slip: HTMLElement | null = null;

/** Prints a slip. Some browsers print later, so the slip stays in the page, unseen, until they have. */
export function printSlip(content: ComponentChild): void {
  takeAway();
  const place = document.createElement("div");
  place.className = "print-slip";
  document.body.append(place);
  render(content, place);
  slip = place;
  addEventListener("afterprint", takeAway, { once: true });
  print();
}

function takeAway(): void {
  if (slip === null) return;
  render(null, slip);
  slip.remove();
  slip = null;
}
