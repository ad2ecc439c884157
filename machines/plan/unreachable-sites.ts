// Sites that nobody can get to: no chain of paths and arms joins them to a hatch.
//
// [unreachable-sites 1] A step at such a site, by one who is at a site at the start, is a fault.

import { groupBy } from "../base/group-by.ts";
import type { SiteId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { placeOf } from "./finding.ts";
import type { Finding } from "./finding.ts";
import { siteWords, stepWords } from "./plan-words.ts";

/** A finding for each site that steps are done at and nothing leads to. Errors: none. */
export function findUnreachableSites(index: ProcedureIndex): readonly Finding[] {
  const reached = sitesFromHatches(index);
  if (reached.size === 0) return [];
  const steps = index.procedure.steps.filter(
    (step) =>
      step.site !== null &&
      !reached.has(step.site) &&
      index.positionsById.get(step.lane)?.startsAt !== null,
  );
  return [...groupBy(steps, ({ site }) => site as SiteId)].map(([site, there]) => ({
    kind: "site-unreachable",
    grade: "fault",
    where: placeOf({ steps: there.map(({ id }) => id), sites: [site] }),
    says: `No path leads from a hatch to ${siteWords(index, site)}, where ${stepWords(index, there[0]?.id ?? ("" as never))} is done.`,
    witness: null,
    mend: { says: "Add the path that leads there, or mend the step's site.", edits: [] },
    onlyWith: [],
  }));
}

function sitesFromHatches({ procedure }: ProcedureIndex): ReadonlySet<SiteId> {
  const next = new Map<SiteId, SiteId[]>(procedure.sites.map(({ id }) => [id, []]));
  const join = (a: SiteId, b: SiteId) => {
    next.get(a)?.push(b);
    next.get(b)?.push(a);
  };
  for (const { from, to } of procedure.paths) join(from, to);
  for (const { tip, reaches } of procedure.arms) for (const site of reaches) join(tip, site);
  const open = procedure.sites.filter(({ sort }) => sort === "hatch").map(({ id }) => id);
  const reached = new Set<SiteId>();
  for (let site = open.pop(); site !== undefined; site = open.pop()) {
    if (reached.has(site)) continue;
    reached.add(site);
    open.push(...(next.get(site) ?? []));
  }
  return reached;
}
