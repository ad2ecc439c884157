// Where the person is, as the browser's address says; and the invitation that an address may hold.
//
// [place 1] An invitation is taken off the address at once, so that it is in no history, no bookmark and
//   no picture of the screen.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { readJoinLink } from "../../machines/sync/join-link.ts";
import type { JoinLink } from "../../machines/sync/join-link.ts";
import { readRoute, routeHash } from "./route.ts";
import type { Route } from "./route.ts";

const asked = signal<JoinLink | null>(null);
takeInvitation();
const current = signal<Route>(readRoute(location.hash));

/** The place that the address names; follows the browser's back and forward. */
export const place: ReadonlySignal<Route> = current;

/** The invitation by which the page was opened, until it is taken. */
export const invitation: ReadonlySignal<JoinLink | null> = asked;

/** Forgets the invitation: somebody looks after it. */
export function forgetInvitation(): void {
  asked.value = null;
}

addEventListener("hashchange", () => {
  takeInvitation();
  current.value = readRoute(location.hash);
  // Another screen is read from its top.
  scrollTo(0, 0);
});

/** Goes to a place; it becomes a step of the browser's history. */
export function goTo(next: Route): void {
  location.hash = routeHash(next);
}

function takeInvitation(): void {
  const link = readJoinLink(location.hash);
  if (link === null) return;
  asked.value = link;
  history.replaceState(null, "", routeHash({ at: "shelf" }));
}
