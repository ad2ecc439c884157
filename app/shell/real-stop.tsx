// The real stop: its control, on every screen of a run and on every sheet, and what it brings up.
//
// [real-stop 1] It is called by one press-and-hold of a second, by anyone.
// [real-stop 2] When it is called it takes the whole screen of every device, above any sheet.
// [real-stop 3] It never carries the word SIMULATED; it says that it is no exercise.
// [real-stop 4] Each device acknowledges; only a director resumes the run, by press-and-hold.

import { useEffect, useRef, useState } from "preact/hooks";
import type { RealStop, RunState } from "../../machines/record/run-state.ts";
import { deviceName } from "../../machines/views/entry-words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { timeOfDay } from "../parts/age.tsx";
import { TextField } from "../parts/field.tsx";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { goTo } from "./place.ts";
import "./real-stop.css";

/** The control that calls the real stop. */
export function RealStopControl({ live }: { readonly live: LiveRun }) {
  return (
    <HoldToDoButton
      look="real-stop-control"
      holdMs={1000}
      name="Stops the exercise on every device"
      onDone={() => {
        void live.take({ kind: "run.real-stop-called", reason: "Not given" }, live.me.lane);
      }}
    >
      REAL STOP
    </HoldToDoButton>
  );
}

/** What stands over everything while a real stop is in force. */
export function RealStopOver({ live }: { readonly live: LiveRun }) {
  const state = live.state.value;
  if (state.realStop === null) return null;
  return <Takeover live={live} state={state} stop={state.realStop} />;
}

type TakeoverProps = {
  readonly live: LiveRun;
  readonly state: RunState;
  readonly stop: RealStop;
};

function Takeover({ live, state, stop }: TakeoverProps) {
  const ref = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    ref.current?.showModal();
    const dialog = ref.current;
    return () => dialog?.close();
  }, []);
  const caller = deviceName(state, stop.by.device);
  return (
    <dialog
      ref={ref}
      class="real-stop"
      aria-labelledby="real-stop-title"
      aria-describedby="real-stop-say"
      onCancel={(event) => event.preventDefault()}
    >
      <div class="real-stop__inside">
        <h1 id="real-stop-title" tabIndex={-1}>
          REAL STOP
        </h1>
        <p id="real-stop-say" class="real-stop__say">
          This is no exercise. Stop work. Make yourself safe. Do what the test director and the
          safety officer say.
        </p>
        <Who state={state} stop={stop} caller={caller} />
        <Answers live={live} stop={stop} />
        <p class="small">
          Call your facility’s emergency number by its own rules. This tablet calls nobody.
        </p>
        <div class="taps">
          <TapButton onTap={() => goTo({ at: "shelf" })}>Leave the run’s screen</TapButton>
        </div>
      </div>
    </dialog>
  );
}

function Who(props: {
  readonly state: RunState;
  readonly stop: RealStop;
  readonly caller: string;
}) {
  const { state, stop, caller } = props;
  const known = stop.acknowledgedBy.map((device) => deviceName(state, device));
  return (
    <div class="real-stop__who">
      <p>
        Called at {timeOfDay(stop.atMs)} on {caller}.{" "}
        {stop.reason === "" ? "" : `Reason: ${stop.reason}.`}
      </p>
      <p>
        {known.length === 0
          ? "No device has acknowledged yet."
          : `Acknowledged: ${known.join(", ")}.`}
      </p>
    </div>
  );
}

function Answers({ live, stop }: { readonly live: LiveRun; readonly stop: RealStop }) {
  const [reason, setReason] = useState("");
  const mine = stop.acknowledgedBy.includes(live.me.device);
  const given = reason.trim();
  return (
    <>
      <div class="taps">
        <TapButton
          wide
          whyNot={mine ? "This device has acknowledged." : null}
          onTap={() => {
            void live.take({ kind: "run.real-stop-acknowledged" }, live.me.lane);
          }}
        >
          {mine ? "Acknowledged on this device" : "Acknowledge"}
        </TapButton>
      </div>
      {live.me.role === "director" ? (
        <>
          <TextField label="Why the run may go on" value={reason} onValue={setReason} />
          <div class="taps">
            {given === "" ? (
              <TapButton wide whyNot="Say first why the run may go on." onTap={() => {}}>
                Resume the run: say why first
              </TapButton>
            ) : (
              <HoldToDoButton
                wide
                holdMs={1500}
                onDone={() => {
                  void live.take({ kind: "run.resumed", reason: given }, null);
                }}
              >
                Resume the run
              </HoldToDoButton>
            )}
          </div>
        </>
      ) : (
        <p>Only a director resumes the run.</p>
      )}
    </>
  );
}
