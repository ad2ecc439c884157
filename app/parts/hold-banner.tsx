// Holds that stand, on every screen of a run: reason, who has acknowledged, acknowledge, release.

import type { PositionId } from "../../machines/procedure/ids.ts";
import { formatSpan } from "../../machines/views/format-time.ts";
import type { HoldLine } from "../../machines/views/hold-line.ts";
import "./hold-banner.css";
import { HoldToDoButton } from "./hold-to-do-button.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";

/** Which holds, and for which lanes this screen acknowledges them. */
export type HoldBannerProps = {
  readonly holds: readonly HoldLine[];
  readonly lanes: readonly { readonly lane: PositionId; readonly name: string }[];
  /** For whom a release is entered. */
  readonly as: PositionId | null;
  readonly tap: Tap;
};

/** The banner; nothing where no hold stands. */
export function HoldBanner({ holds, lanes, as, tap }: HoldBannerProps) {
  if (holds.length === 0) return null;
  return (
    <section class="hold-banner hatched" aria-label="Holds in force">
      {holds.map((hold) => (
        <div key={hold.hold} class="hold-banner__plaque" data-hold={hold.hold}>
          <div class="hold-banner__words">
            <p class="hold-banner__word">
              {hold.isSimulated ? <span class="hold-banner__simulated">SIMULATED</span> : null}
              HOLD: {hold.covers}
            </p>
            <p>{hold.reason}</p>
            <p class="small soft">
              {hold.raisedBy} · for {formatSpan(hold.lastedSeconds)}
              {hold.missing.length === 0
                ? " · acknowledged by all"
                : ` · not acknowledged by ${hold.missing.join(", ")}`}
            </p>
          </div>
          <div class="taps">
            {lanes
              .filter((one) => hold.waitsFor.includes(one.lane))
              .map((one) => (
                <TapButton
                  key={one.lane}
                  tone="main"
                  onTap={() =>
                    tap({ kind: "hold.acknowledged", hold: hold.hold, lane: one.lane }, one.lane)
                  }
                >
                  Acknowledge for {one.name}
                </TapButton>
              ))}
            {hold.mayRelease ? (
              <HoldToDoButton onDone={() => tap({ kind: "hold.released", hold: hold.hold }, as)}>
                Release hold
              </HoldToDoButton>
            ) : null}
          </div>
        </div>
      ))}
    </section>
  );
}
