// The devices of a run, what each is, and how old its last word is.

import type { ComponentChildren } from "preact";
import type { DeskDevice } from "../../machines/views/desk-view.ts";
import { Age } from "./age.tsx";
import "./device-list.css";

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
