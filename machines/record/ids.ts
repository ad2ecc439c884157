// Ids of the things that a record names.

import type { Branded } from "../base/branded.ts";

/** Names a run: a UUID of version 7, made by the device that opens it. */
export type RunId = Branded<"RunId">;
/** Names a device: a UUID of version 7, made by the device itself at first use. */
export type DeviceId = Branded<"DeviceId">;
/** Names a hold: the device and the seq of the entry that raised it, "<device>:<seq>". */
export type HoldId = Branded<"HoldId">;
