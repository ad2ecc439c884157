// The roles that a director may give to a device.

import type { Role } from "../../machines/record/entry.ts";
import { roleWords } from "../../machines/views/words.ts";

/** The roles that a director invites, with what each is for. */
export const invitedRoles: readonly { readonly role: Role; readonly label: string }[] = [
  { role: "crew", label: `${roleWords.crew}: works one lane` },
  { role: "reader", label: `${roleWords.reader}: reads for all lanes` },
  { role: "support", label: `${roleWords.support}: follows, may have a lane` },
  { role: "observer", label: `${roleWords.observer}: looks on` },
  { role: "director", label: `${roleWords.director}: a second desk` },
];
