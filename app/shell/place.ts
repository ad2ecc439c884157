// Where the person is, as the browser's address says.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { readRoute, routeHash } from "./route.ts";
import type { Route } from "./route.ts";

const current = signal<Route>(readRoute(location.hash));

/** The place that the address names; follows the browser's back and forward. */
export const place: ReadonlySignal<Route> = current;

addEventListener("hashchange", () => {
  current.value = readRoute(location.hash);
  // Another screen is read from its top.
  scrollTo(0, 0);
});

/** Goes to a place; it becomes a step of the browser's history. */
export function goTo(next: Route): void {
  location.hash = routeHash(next);
}
