// Devices at the desk: who is in the run, which positions have nobody, inviting, striking off.

import { useState } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Role } from "../../machines/record/entry.ts";
import type { DeskDevice, DeskView } from "../../machines/views/desk-view.ts";
import type { LiveRun } from "../live/live-run.ts";
import { DeviceList } from "../parts/device-list.tsx";
import { LaneMark } from "../parts/lane-mark.tsx";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { InviteSheet } from "./invite-sheet.tsx";

/** What the desk needs for devices. */
export type DeskDevicesProps = {
  readonly live: LiveRun;
  readonly view: DeskView;
  readonly nowMs: number;
};

/** The list of devices and the invitation. */
export function DeskDevices({ live, view, nowMs }: DeskDevicesProps) {
  const [inviting, setInviting] = useState<Invitation | null>(null);
  return (
    <section class="desk__part" aria-labelledby="desk-devices">
      <h3 id="desk-devices">Devices</h3>
      {view.emptyPositions.length === 0 ? null : (
        <div class="paper desk__empty">
          <p>Nobody has a device for:</p>
          <div class="taps">
            {view.emptyPositions.map((position) => (
              <TapButton
                key={position.id}
                name={`Invite a device for ${position.name}`}
                onTap={() => setInviting({ role: roleOfSort[position.sort], lane: position.id })}
              >
                <LaneMark position={position} />
              </TapButton>
            ))}
          </div>
        </div>
      )}
      <div class="taps">
        <TapButton wide onTap={() => setInviting({ role: "crew", lane: null })}>
          Invite a device…
        </TapButton>
      </div>
      <DeviceList
        devices={view.devices}
        nowMs={nowMs}
        actsOf={(device) =>
          device.isThis || device.isStruckOff ? null : <StrikeOff live={live} device={device} />
        }
      />
      {inviting === null ? null : (
        <InviteSheet
          live={live}
          role={inviting.role}
          lane={inviting.lane}
          empty={new Set(view.emptyPositions.map((position) => position.id))}
          onClose={() => setInviting(null)}
        />
      )}
    </section>
  );
}

type Invitation = { readonly role: Role; readonly lane: PositionId | null };

const roleOfSort = {
  suited: "crew",
  inside: "reader",
  arm: "support",
  support: "support",
} as const satisfies Record<string, Role>;

function StrikeOff({ live, device }: { readonly live: LiveRun; readonly device: DeskDevice }) {
  const [asking, setAsking] = useState(false);
  return (
    <>
      <TapButton name={`Strike off ${device.name}`} onTap={() => setAsking(true)}>
        Strike off…
      </TapButton>
      {asking ? (
        <ReasonDialog
          title={`Strike off ${device.name}`}
          says="What it has entered stays. What it enters from now on is set aside."
          suggestions={["Tablet lost", "Tablet broken", "Joined by mistake"]}
          act="Strike off"
          hold
          tone="against"
          onReason={(reason) => {
            setAsking(false);
            void live.take({ kind: "device.struck-off", struckOff: device.device, reason }, null);
          }}
          onClose={() => setAsking(false)}
        />
      ) : null}
    </>
  );
}
