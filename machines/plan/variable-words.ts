// Variables and their values, as the findings say them.

import type {
  ArmId,
  HardwareId,
  ItemId,
  PositionId,
  SiteId,
  StepId,
  TetherId,
} from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { placeOf } from "./finding.ts";
import type { FindingPlace } from "./finding.ts";
import type { Variable, VariableSort } from "./ledger.ts";
import { valueToPlace } from "./plan-state.ts";
import { placeWords, positionWords, siteWords } from "./plan-words.ts";

/** What one asks of a variable: "where EV1 is", "how the cover is". */
export const isVariableWords: Readonly<Record<VariableSort, string>> = {
  item: "where",
  person: "where",
  hardware: "how",
  arm: "where",
  tether: "how",
  restraint: "in which restraint",
};

/** The name of what a variable tells of. Errors: none. */
export function variableName(index: ProcedureIndex, { sort, id }: Variable): string {
  switch (sort) {
    case "item":
      return index.itemsById.get(id as ItemId)?.name ?? id;
    case "hardware":
      return index.hardwareById.get(id as HardwareId)?.name ?? id;
    case "arm":
      return index.armsById.get(id as ArmId)?.name ?? id;
    case "tether":
      return index.tethersById.get(id as TetherId)?.name ?? id;
    case "person":
    case "restraint":
      return positionWords(index, id as PositionId);
  }
}

/** A value, as it stands after "is". Errors: none. */
export function valueWords(index: ProcedureIndex, sort: VariableSort, value: string): string {
  switch (sort) {
    case "item":
      return placeWords(index, valueToPlace(value));
    case "hardware":
      return value;
    case "arm":
      return `at ${siteWords(index, value as SiteId)}`;
    case "person":
      return value === "" ? "at no site" : `at ${siteWords(index, value as SiteId)}`;
    case "tether":
      return value === "" ? "not hooked" : `hooked at ${siteWords(index, value as SiteId)}`;
    case "restraint":
      return value === ""
        ? "in no foot restraint"
        : `in ${index.itemsById.get(value as ItemId)?.name ?? value}`;
  }
}

/** The place of a finding about a variable. Errors: none. */
export function variablePlace({ sort, id }: Variable, steps: readonly StepId[]): FindingPlace {
  switch (sort) {
    case "item":
      return placeOf({ steps, items: [id as ItemId] });
    case "hardware":
      return placeOf({ steps, hardware: [id as HardwareId] });
    case "arm":
      return placeOf({ steps, arms: [id as ArmId] });
    case "tether":
      return placeOf({ steps, tethers: [id as TetherId] });
    case "person":
    case "restraint":
      return placeOf({ steps, positions: [id as PositionId] });
  }
}
