// Opening a run at the hub: POST /api/runs. Repeating it changes nothing.

import type { Identity } from "../procedure/ids.ts";
import type { DeviceId, RunId } from "../record/ids.ts";

/** Asked by the device that opened the run; it becomes the run's first director. */
export type OpenRequest = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly deviceName: string;
  /** Secret that this device shows from now on as its bearer token for this run; 43 base64url characters. */
  readonly token: string;
  readonly title: string;
  /** Must be at the hub already: PUT /api/procedures/:identity. */
  readonly procedure: Identity;
};

/** The run is at the hub. */
export type OpenAnswer = { readonly run: RunId };
