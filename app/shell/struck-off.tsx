// The screen of a device that a director has struck off.
//
// [struck-off 1] It says so, and that what was written before stays; it offers the record as a file, and
//   nothing of the run but the real stop, which stands in the frame's head.

import { isStruckOffRefusal } from "../../machines/views/hub-refusal-words.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import { ExportLinks } from "../debrief/export-links.tsx";
import type { LiveRun } from "../live/live-run.ts";
import { timeOfDay } from "../parts/age.tsx";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";

/** Whether this device was struck off, by its own record or by the hub's word. */
export function isStruckOff(live: LiveRun): boolean {
  const inRun = live.state.value.devices[live.me.device];
  if (inRun !== undefined && inRun.struckOffAtMs !== null) return true;
  const { refused } = live.link.value;
  return refused !== null && isStruckOffRefusal(refused.code);
}

/** What such a device shows instead of the run. */
export function StruckOffScreen({ live }: { readonly live: LiveRun }) {
  const atMs = live.state.value.devices[live.me.device]?.struckOffAtMs ?? null;
  return (
    <div class="struck-off">
      <h2>Struck off</h2>
      <Notice title="A director has struck this tablet off the run." tone="against" role="alert">
        <p>
          {atMs === null ? "" : `At ${timeOfDay(atMs)}. `}What it entered before stays in the
          record. What is entered now would be set aside, so this screen takes nothing more.
        </p>
        <p>
          If that is a mistake, ask the director for a new invitation and join again: everything
          that is kept here is brought along.
        </p>
      </Notice>
      <p>
        This tablet: “{live.me.name}”, check letters{" "}
        <Letters look="beside" text={checkLetters(live.me.device)} />
      </p>
      <p>
        <strong>This tablet hears nothing more of the run, a real stop neither.</strong> Follow the
        others. The real stop can still be called here for a real reason; call it out as well, for
        it may not reach the others.
      </p>
      <ExportLinks live={live} />
      <p>
        <a href="#/shelf">Back to the shelf</a>
      </p>
    </div>
  );
}
