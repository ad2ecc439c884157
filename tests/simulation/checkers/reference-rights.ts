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
  switch (body.kind) {
    case "run.terminated":
    case "hold.requested":
    case "inject.responded":
      return true;
    case "note.added":
    case "check.recorded":
      return position === null || position === author.lane;
    case "hold.raised":
      return body.scope.covers === "lane" && body.scope.lane === author.lane;
    case "hold.acknowledged":
      return body.lane === author.lane;
    case "gate.readback-confirmed":
      return laneOf(index, body.step) !== author.lane;
    case "gate.go-given": {
      const gate = index.gatesByStep.get(body.step)?.find(({ id }) => id === body.gate);
      return gate?.sort === "go" && gate.from === author.lane;
    }
    default:
      if (!/^(step|gate|branch)\./.test(body.kind) || !("step" in body)) return false;
      return laneOf(index, body.step ?? "") === author.lane;
  }
}

function laneOf({ procedure }: ProcedureIndex, step: string): string | undefined {
  return procedure.steps.find(({ id }) => id === step)?.lane;
}
