// Where the person is: the address's part after "#".
//
// "#/shelf", "#/run/<run>/<screen>", "#/run/<run>/lane/<position>", "#/about".
// [route 1] An address that says nothing known is the shelf.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { RunId } from "../../machines/record/ids.ts";

/** Screens of a run. `home`: the one that suits the device's role. */
export type RunScreen = "home" | "lane" | "pair" | "desk" | "follow" | "debrief";

/** A place in the app. */
export type Route =
  | { readonly at: "shelf" }
  | { readonly at: "about" }
  | {
      readonly at: "run";
      readonly run: RunId;
      readonly screen: RunScreen;
      readonly lane: PositionId | null;
    };

// Stands before the first reading of the address, which needs it when a page opens at a screen.
const runScreens: ReadonlySet<string> = new Set(["lane", "pair", "desk", "follow", "debrief"]);

const current = signal<Route>(readRoute(location.hash));

/** The place that the address names; follows the browser's back and forward. */
export const route: ReadonlySignal<Route> = current;

addEventListener("hashchange", () => {
  current.value = readRoute(location.hash);
});

/** Goes to a place; it becomes a step of the browser's history. */
export function goTo(next: Route): void {
  location.hash = routeHash(next);
}

/** The address of a place: "#/run/…/lane/ev1". */
export function routeHash(next: Route): string {
  if (next.at !== "run") return `#/${next.at}`;
  const screen = next.screen === "home" ? "" : `/${next.screen}`;
  const lane = next.lane === null ? "" : `/${encodeURIComponent(next.lane)}`;
  return `#/run/${encodeURIComponent(next.run)}${screen}${lane}`;
}

/** The place that a text after "#" names. */
export function readRoute(hash: string): Route {
  const [at, run, screen, lane] = hash.replace(/^#\/?/, "").split("/").map(decode);
  if (at === "about") return { at };
  if (at !== "run" || run === undefined || run === "") return { at: "shelf" };
  return {
    at,
    run: run as RunId,
    screen: isRunScreen(screen) ? screen : "home",
    lane: lane === undefined || lane === "" ? null : (lane as PositionId),
  };
}

function isRunScreen(text: string | undefined): text is RunScreen {
  return text !== undefined && runScreens.has(text);
}

function decode(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
