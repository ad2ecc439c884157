// Devices at the desk: who is in the run, which positions have nobody, inviting, striking off.

import { useState } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Role } from "../../machines/record/entry.ts";
import type { DeskDevice, DeskView } from "../../machines/views/desk-view.ts";
import type { LiveRun } from "../live/live-run.ts";
import { timeOfDay } from "../parts/age.tsx";
import { DeviceList } from "../parts/device-list.tsx";
import { HandOnBundle } from "../parts/hand-on-bundle.tsx";
import { LaneMark } from "../parts/lane-mark.tsx";
import { Letters } from "../parts/letters.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { lettersOfRun } from "./invitation-out.tsx";
import { InviteSheet } from "./invite-sheet.tsx";
import { StrikeOff } from "./strike-off.tsx";

/** What the desk needs for devices. */
export type DeskDevicesProps = {
  readonly live: LiveRun;
  readonly view: DeskView;
  readonly nowMs: number;
};

/** The list of devices and the invitation. */
export function DeskDevices({ live, view, nowMs }: DeskDevicesProps) {
  const [inviting, setInviting] = useState<Invited | null>(null);
  const recovery = live.recovery.value;
  return (
    <section class="desk__part" aria-labelledby="desk-devices">
      <h3 id="desk-devices">Devices</h3>
      <p>
        Check letters of this run: <Letters look="beside" text={lettersOfRun(live.run)} />
      </p>
      <Empty view={view} onInvite={setInviting} />
      <div class="taps">
        <TapButton wide onTap={() => setInviting({ role: "crew", lane: null })}>
          Invite a device…
        </TapButton>
      </div>
      <HandOnBundle live={live} />
      <DeviceList
        devices={view.devices.filter(({ device }) => device !== recovery)}
        nowMs={nowMs}
        actsOf={(device) =>
          device.isThis || device.isStruckOff ? null : (
            <StrikeOff live={live} device={device} isTablet />
          )
        }
      />
      <RecoveryWords
        live={live}
        device={view.devices.find(({ device }) => device === recovery) ?? null}
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

type Invited = { readonly role: Role; readonly lane: PositionId | null };

const roleOfSort = {
  suited: "crew",
  inside: "reader",
  arm: "support",
  support: "support",
} as const satisfies Record<string, Role>;

type EmptyProps = { readonly view: DeskView; readonly onInvite: (invited: Invited) => void };

function Empty({ view, onInvite }: EmptyProps) {
  if (view.emptyPositions.length === 0) return null;
  return (
    <div class="paper desk__empty">
      <p>Nobody has a device for:</p>
      <div class="taps">
        {view.emptyPositions.map((position) => (
          <TapButton
            key={position.id}
            name={`Invite a device for ${position.name}`}
            onTap={() => onInvite({ role: roleOfSort[position.sort], lane: position.id })}
          >
            <LaneMark position={position} />
          </TapButton>
        ))}
      </div>
    </div>
  );
}

type RecoveryWordsProps = {
  readonly live: LiveRun;
  /** Null: no recovery code was made. */
  readonly device: DeskDevice | null;
};

function RecoveryWords({ live, device }: RecoveryWordsProps) {
  if (device === null) {
    return (
      <p class="small soft">
        No recovery code was made for this run. A second director’s device guards against the loss
        of this one.
      </p>
    );
  }
  return (
    <div class="desk__recovery" data-device={device.device}>
      <p>
        <strong>Recovery code</strong>: {recoveryState(device)}
      </p>
      {device.isStruckOff ? null : <StrikeOff live={live} device={device} isTablet={false} />}
    </div>
  );
}

function recoveryState({ isStruckOff, lastWordMs }: DeskDevice): string {
  if (isStruckOff) return "struck off; it opens nothing any more.";
  if (lastWordMs === null) return "not used. Strike it off if somebody else may have seen it.";
  return `used at ${timeOfDay(lastWordMs)}. If that was none of you, strike it off.`;
}
