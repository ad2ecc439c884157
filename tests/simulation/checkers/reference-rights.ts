// Who may write what, spelled out once more, slowly: the table of the design, not the product's code.

import type { ProcedureIndex } from "../../../machines/procedure/procedure-index.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import type { DeviceLeft, Leftovers } from "./leftovers.ts";

/**
 * Whether the entry is within the rights of the device that wrote it. Every device of a simulation
 * is let in, with one role, sooner or later, and never struck off.
 */
export function isWithinRights({ devices, index }: Leftovers, entry: Entry): boolean {
  const author = devices.find(({ id }) => id === entry.device);
  const { kind } = entry.body;
  if (kind === "run.real-stop-called" || kind === "run.real-stop-acknowledged") return true;
  if (kind.startsWith("clock.")) return true;
  if (author === undefined) return false;
  if (author.role === "director") return true;
  if (kind === "entry.withdrawn") return entry.body.withdrawn.device === entry.device;
  if (author.role === "reader") return mayReader(author, entry);
  if (author.role === "crew") return mayCrew(author, entry, index);
  return false;
}

function mayReader(author: DeviceLeft, { body }: Entry): boolean {
  if (body.kind === "hold.released") return body.hold.startsWith(`${author.id}:`);
  if (/^(step|gate|hold|branch|note|check|item)\./.test(body.kind)) return true;
  return body.kind === "run.terminated" || body.kind === "inject.responded";
}

function mayCrew(author: DeviceLeft, { body, position }: Entry, index: ProcedureIndex): boolean {
  const { kind } = body;
  if (kind === "run.terminated" || kind === "hold.requested") return true;
  if (kind === "inject.responded") return true;
  if (kind === "note.added" || kind === "check.recorded") {
    return position === null || position === author.lane;
  }
  if (kind === "hold.raised") {
    return body.scope.covers === "lane" && body.scope.lane === author.lane;
  }
  if (kind === "hold.acknowledged") return body.lane === author.lane;
  if (!/^(step|gate|branch)\./.test(kind) || !("step" in body)) return false;
  const lane = index.procedure.steps.find(({ id }) => id === body.step)?.lane;
  if (kind === "gate.readback-confirmed") return lane !== author.lane;
  if (kind !== "gate.go-given") return lane === author.lane;
  const gate = index.gatesByStep.get(body.step)?.find(({ id }) => id === body.gate);
  return gate?.sort === "go" && gate.from === author.lane;
}
