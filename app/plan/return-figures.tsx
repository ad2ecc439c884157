// The worst points of return to the hatch, lane by lane, by both rules.

import { formatSpan } from "../../machines/views/format-time.ts";
import type { WorstReturn, WorstReturns } from "../../machines/views/plan-figures.ts";
import { LaneMark } from "../parts/lane-mark.tsx";

/** The worst points. */
export function ReturnFigures({ returns }: { readonly returns: WorstReturns }) {
  const limit = formatSpan(returns.limitSeconds);
  return (
    <section aria-labelledby="plan-returns">
      <h3 id="plan-returns">Worst points of return to the hatch</h3>
      <p class="soft">
        The limit is {limit}. Terminate: an orderly return, items and tethers gathered. Abort:
        straight to the hatch.
      </p>
      {returns.lanes.length === 0 ? <p>No suited lane leaves the hatch.</p> : null}
      <ul class="plan__figures">
        {returns.lanes.map(({ lane, terminate, abort }) => (
          <li key={lane.id} class="paper plan__figure">
            <h4>
              <LaneMark position={lane} />
            </h4>
            <dl class="finding__where">
              <ReturnLine rule="Terminate" worst={terminate} limit={limit} />
              <ReturnLine rule="Abort" worst={abort} limit={limit} />
            </dl>
          </li>
        ))}
      </ul>
      <p class="small soft">{returns.rules}</p>
    </section>
  );
}

type ReturnLineProps = {
  readonly rule: string;
  readonly worst: WorstReturn;
  readonly limit: string;
};

function ReturnLine({ rule, worst, limit }: ReturnLineProps) {
  const { seconds, isWithin, step, site } = worst;
  const takes = seconds === null ? "No way back by this rule" : `Up to ${formatSpan(seconds)}`;
  return (
    <div>
      <dt>{rule}</dt>
      <dd>
        <strong class={isWithin ? "" : "plan__beyond"}>
          {takes}, {isWithin ? "within" : "BEYOND"} {limit}
        </strong>
        : from {step} at {site}.
      </dd>
    </div>
  );
}
