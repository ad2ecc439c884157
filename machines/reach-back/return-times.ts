// How long the way back to the hatch takes from every point of every suited lane.
//
// By abort rules one goes straight: out of the restraint, off the hooks that hold one here, home; what is
// out stays out. By terminate rules one takes up what the plan has put down here and may not stay, and
// comes home with every tether in hand or hooked at the hatch.
// [return-times 1] Each step has the longest of the returns from the states that it passes through.
// [return-times 2] One computation over all states serves every step; another one only where other paths
//   are closed.
// [return-times 3] A return by abort that takes longer than the limit allows is a fault; by terminate, a
//   doubt. The worst point of each lane is named.

import type { PathId, PositionId, StepId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { orderPlay } from "../plan/check-plan.ts";
import { placeOf } from "../plan/finding.ts";
import type { Finding, FindingGrade } from "../plan/finding.ts";
import { positionWords, siteWords, stepWords } from "../plan/plan-words.ts";
import { buildReturnGraph, secondsHome } from "./return-graph.ts";
import type { Hooking, ReturnGraph, Spot } from "./return-graph.ts";
import { usualReturnRules } from "./return-rules.ts";
import type { ReturnRules } from "./return-rules.ts";
import { listSuitedMoments } from "./suited-moments.ts";
import type { SuitedMoment } from "./suited-moments.ts";

/** The way back from one step; Infinity: there is none by these rules. */
export type ReturnPoint = {
  readonly step: StepId;
  readonly position: PositionId;
  /** Where the longer of the ways begins. */
  readonly spot: Spot;
  readonly abortSeconds: number;
  readonly terminateSeconds: number;
};

/** The ways back, in the plan's order, and the worst step of each lane by each rule. */
export type ReturnTimes = {
  readonly points: readonly ReturnPoint[];
  readonly worstByLane: ReadonlyMap<
    PositionId,
    { readonly abort: ReturnPoint; readonly terminate: ReturnPoint }
  >;
};

/** The ways back of the plan without contingencies. Errors: none. */
export function returnTimes(
  index: ProcedureIndex,
  rules: ReturnRules = usualReturnRules,
): ReturnTimes {
  const { order } = orderPlay(index, []);
  const tables = new Map<string, Table>();
  const byStep = new Map<StepId, ReturnPoint>();
  for (const moment of listSuitedMoments(index, order)) {
    const point = pointOf(moment, tableOf(index, rules, tables, moment), rules);
    const known = byStep.get(moment.step);
    byStep.set(moment.step, known === undefined ? point : longer(known, point));
  }
  const points = [...byStep.values()];
  return { points, worstByLane: worstOf(points) };
}

/** What the ways back say against the procedure's limit. Errors: none. */
export function findLongReturns(
  index: ProcedureIndex,
  { points, worstByLane }: ReturnTimes,
): readonly Finding[] {
  const limit = index.procedure.limits.hatchWithinSeconds;
  return [...worstByLane].flatMap(([position, { abort, terminate }]) => {
    const own = points.filter((point) => point.position === position);
    const byAbort = own.filter(({ abortSeconds }) => abortSeconds > limit);
    const byTerminate = own.filter(
      ({ abortSeconds, terminateSeconds }) => abortSeconds <= limit && terminateSeconds > limit,
    );
    return [
      ...longReturn(index, byAbort, { worst: abort, rule: "abort", grade: "fault" }),
      ...longReturn(index, byTerminate, { worst: terminate, rule: "terminate", grade: "doubt" }),
    ];
  });
}

type Table = {
  readonly graph: ReturnGraph;
  readonly abort: Float64Array;
  readonly terminate: Float64Array;
};

function tableOf(
  index: ProcedureIndex,
  rules: ReturnRules,
  tables: Map<string, Table>,
  { position, closedPaths }: SuitedMoment,
): Table {
  const key = [position, ...closedPaths].join(" ");
  const known = tables.get(key);
  if (known !== undefined) return known;
  const closed = new Set<PathId>(closedPaths);
  const graph = buildReturnGraph(index, { position, closedPaths: closed, rules });
  const isHatch = ({ site }: Spot) => index.sitesById.get(site)?.sort === "hatch";
  const isGathered = (hooking: Hooking) =>
    hooking.every((anchor) => anchor === null || isHatch({ site: anchor, armAt: null }));
  const table = {
    graph,
    abort: secondsHome(graph, isHatch),
    terminate: secondsHome(graph, (spot, hooking) => isHatch(spot) && isGathered(hooking)),
  };
  tables.set(key, table);
  return table;
}

function pointOf(moment: SuitedMoment, table: Table, rules: ReturnRules): ReturnPoint {
  const { step, position, spot, hooking, isInRestraint, toGather } = moment;
  const state = table.graph.stateOf(spot, hooking);
  const leaving = isInRestraint ? rules.leaveRestraintSeconds : 0;
  return {
    step,
    position,
    spot,
    abortSeconds: leaving + (table.abort[state] ?? Infinity),
    terminateSeconds:
      leaving + toGather.length * rules.gatherSeconds + (table.terminate[state] ?? Infinity),
  };
}

function longer(a: ReturnPoint, b: ReturnPoint): ReturnPoint {
  return {
    ...(b.terminateSeconds > a.terminateSeconds ? b : a),
    abortSeconds: Math.max(a.abortSeconds, b.abortSeconds),
    terminateSeconds: Math.max(a.terminateSeconds, b.terminateSeconds),
  };
}

function worstOf(points: readonly ReturnPoint[]): ReturnTimes["worstByLane"] {
  const worst = new Map<PositionId, { abort: ReturnPoint; terminate: ReturnPoint }>();
  for (const point of points) {
    const known = worst.get(point.position) ?? { abort: point, terminate: point };
    worst.set(point.position, {
      abort: point.abortSeconds > known.abort.abortSeconds ? point : known.abort,
      terminate:
        point.terminateSeconds > known.terminate.terminateSeconds ? point : known.terminate,
    });
  }
  return worst;
}

type LongReturn = {
  readonly worst: ReturnPoint;
  readonly rule: "abort" | "terminate";
  readonly grade: FindingGrade;
};

function longReturn(
  index: ProcedureIndex,
  points: readonly ReturnPoint[],
  { worst, rule, grade }: LongReturn,
): readonly Finding[] {
  if (points.length === 0) return [];
  const limit = index.procedure.limits.hatchWithinSeconds;
  const seconds = rule === "abort" ? worst.abortSeconds : worst.terminateSeconds;
  const name = positionWords(index, worst.position);
  const takes =
    seconds === Infinity
      ? "there is no way back that keeps a tether hooked"
      : `the way back takes up to ${minutes(seconds)} min`;
  return [
    {
      kind: "hatch-too-far",
      grade,
      where: placeOf({
        steps: [worst.step, ...points.map(({ step }) => step).filter((id) => id !== worst.step)],
        positions: [worst.position],
        sites: [worst.spot.site],
      }),
      says: `From ${stepWords(index, worst.step)} at ${siteWords(index, worst.spot.site)} ${takes} by ${rule} rules; the limit is ${minutes(limit)} min. ${points.length} of ${name}'s steps are beyond it.`,
      witness: null,
      mend: {
        says: "Swap to a tether that leads home sooner, keep less out there, or set another limit.",
        edits: [],
      },
      onlyWith: [],
    },
  ];
}

function minutes(seconds: number): string {
  return String(Math.round(seconds / 6) / 10);
}
