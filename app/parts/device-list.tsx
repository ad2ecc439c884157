// The devices of a run, what each is, and how old its last word is.
//
// [device-list 1] Every device shows its check letters: two of one name are told apart by them.

import type { ComponentChildren } from "preact";
import type { DeskDevice } from "../../machines/views/desk-view.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import { Age } from "./age.tsx";
import "./device-list.css";
import { Letters } from "./letters.tsx";

/** What the list shows; `actsOf` draws what can be done with a device. */
export type DeviceListProps = {
  readonly devices: readonly DeskDevice[];
  readonly nowMs: number;
  readonly actsOf?: (device: DeskDevice) => ComponentChildren;
};

/** Every device of the run. */
export function DeviceList({ devices, nowMs, actsOf }: DeviceListProps) {
  return (
    <ul class="device-list">
      {devices.map((device) => (
        <li key={device.device} data-device={device.device}>
          <span>
            <strong>{device.name}</strong>
            {device.isThis ? " (this device)" : ""}
            <br />
            {device.role}
            <br />
            <span class="unseen">Check letters </span>
            <Letters look="beside" text={checkLetters(device.device)} />
          </span>
          <span class="device-list__age">
            {device.isStruckOff ? (
              <strong>Struck off</strong>
            ) : device.isThis ? (
              "here"
            ) : (
              <Age sinceMs={device.lastWordMs} nowMs={nowMs} />
            )}
          </span>
          {actsOf === undefined ? null : actsOf(device)}
        </li>
      ))}
    </ul>
  );
}
