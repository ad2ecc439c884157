// Places in the app, and how the address's part after "#" names them.
//
// "#/shelf", "#/about", "#/plan/<identity>", "#/run/<run>/<screen>", "#/run/<run>/lane/<position>".
// [route 1] An address that says nothing known is the shelf.
// [route 2] The address of a place names that place.

import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import type { RunId } from "../../machines/record/ids.ts";

/** Screens of a run. `home`: the one that suits the device's role. */
export type RunScreen = "home" | "lane" | "pair" | "desk" | "follow" | "debrief";

/** A place in the app. */
export type Route =
  | { readonly at: "shelf" }
  | { readonly at: "about" }
  | { readonly at: "plan"; readonly procedure: Identity }
  | {
      readonly at: "run";
      readonly run: RunId;
      readonly screen: RunScreen;
      readonly lane: PositionId | null;
    };

const runScreens: ReadonlySet<string> = new Set(["lane", "pair", "desk", "follow", "debrief"]);

/** The address of a place: "#/run/…/lane/ev1". */
export function routeHash(next: Route): string {
  if (next.at === "plan") return `#/plan/${encodeURIComponent(next.procedure)}`;
  if (next.at !== "run") return `#/${next.at}`;
  const screen = next.screen === "home" ? "" : `/${next.screen}`;
  const lane = next.lane === null ? "" : `/${encodeURIComponent(next.lane)}`;
  return `#/run/${encodeURIComponent(next.run)}${screen}${lane}`;
}

/** The place that a text after "#" names. */
export function readRoute(hash: string): Route {
  const [at, which, screen, lane] = hash.replace(/^#\/?/, "").split("/").map(decode);
  if (at === "about") return { at };
  if (which === undefined || which === "") return { at: "shelf" };
  if (at === "plan") return { at, procedure: which as Identity };
  if (at !== "run") return { at: "shelf" };
  return {
    at,
    run: which as RunId,
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
