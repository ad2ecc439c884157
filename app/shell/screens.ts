// Which screens a device has in a run, by its role, and which one it starts on.

import type { LiveRun, ThisDevice } from "../live/live-run.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import type { RunScreen } from "./route.ts";

/** A screen with its name on the tab. */
export type ScreenTab = { readonly screen: Exclude<RunScreen, "home">; readonly name: string };

const names = {
  lane: "Lane",
  pair: "Pair",
  desk: "Desk",
  follow: "Follow",
  debrief: "Debrief",
} as const;

/** The screens of a device, the first being its home. Alone in a run, a director starts on a lane. */
export function screensOf(me: ThisDevice, alone: boolean): readonly ScreenTab[] {
  return screenNames(me, alone).map((screen) => ({ screen, name: names[screen] }));
}

/** Whether this device is the only one in the run; a recovery code is no device in anybody's hands. */
export function isAlone(live: LiveRun, state: RunState): boolean {
  const recovery = live.recovery.value;
  return Object.keys(state.devices).every(
    (device) => device === live.me.device || device === recovery,
  );
}

function screenNames(me: ThisDevice, alone: boolean): readonly ScreenTab["screen"][] {
  switch (me.role) {
    case "director":
      return alone
        ? ["lane", "pair", "desk", "follow", "debrief"]
        : ["desk", "pair", "lane", "follow", "debrief"];
    case "reader":
      return ["pair", "lane", "follow", "debrief"];
    case "crew":
      return ["lane", "follow", "debrief"];
    case "support":
      return me.lane === null ? ["follow", "debrief"] : ["lane", "follow", "debrief"];
    case "observer":
      return ["follow", "debrief"];
  }
}
