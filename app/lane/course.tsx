// The lane's course beside the step of now: two steps before, three after, the other lanes.

import type { StepLine, LaneView, OtherLane } from "../../machines/views/lane-view.ts";
import { isOver } from "../../machines/views/step-card.ts";
import { stepStateWords } from "../../machines/views/words.ts";
import { HazardFlag } from "../parts/hazard.tsx";
import { LaneMark } from "../parts/lane-mark.tsx";

/** What the course shows of a lane. */
export type CourseView = Pick<LaneView, "before" | "next" | "alsoWorking" | "others"> & {
  /** Number of the step of now; null: every step is over. */
  readonly now: number | null;
};

/** The part of a lane's view that its course shows. */
export function courseOf({ before, now, next, alsoWorking, others }: LaneView): CourseView {
  return { before, now: now?.number ?? null, next, alsoWorking, others };
}

/** Steps before and after, and what the other lanes do. */
export function Course({ course }: { readonly course: CourseView }) {
  return (
    <aside class="course" aria-label="Before, after and beside">
      <section class="paper" aria-label="This lane’s course">
        <ol class="course__list">
          {course.before.map((line) => (
            <CourseStep key={line.step} line={line} />
          ))}
          {course.now === null ? null : (
            <li class="course__step course__step--now" aria-current="step">
              <strong>
                <span class="course__number sounding">{course.now}</span> now
              </strong>
            </li>
          )}
          {course.next.map((line) => (
            <CourseStep key={line.step} line={line} />
          ))}
        </ol>
        {course.alsoWorking.length === 0 ? null : (
          <>
            <h3>Still open</h3>
            <ul>
              {course.alsoWorking.map((line) => (
                <li key={line.step}>
                  <span class="sounding">{line.number}</span> {line.text}
                </li>
              ))}
            </ul>
          </>
        )}
      </section>
      {course.others.length === 0 ? null : (
        <section class="paper" aria-label="Other lanes">
          {course.others.map((other) => (
            <OtherLaneLine key={other.lane} other={other} />
          ))}
        </section>
      )}
    </aside>
  );
}

function CourseStep({ line }: { readonly line: StepLine }) {
  const over = isOver(line.state);
  return (
    <li class={`course__step${over ? " course__step--over" : ""}`}>
      <p>
        <span class="course__number sounding">{line.number}</span>{" "}
        {over ? <span class="soft">{stepStateWords[line.state]} · </span> : null}
        {line.text}
      </p>
      {over ? null : (
        <p>
          {line.hazardWords.map((word) => (
            <HazardFlag key={word} word={word} />
          ))}
          {line.meetName === null ? null : <strong class="small">Meet: {line.meetName}</strong>}
        </p>
      )}
    </li>
  );
}

/** Another lane in a line: its mark, its step, what it waits for. */
function OtherLaneLine({ other }: { readonly other: OtherLane }) {
  return (
    <div class="other-lane">
      <LaneMark position={other} />
      {other.now === null ? (
        <p>Every step over</p>
      ) : (
        <p>
          <span class="sounding">{other.now.number}</span> {other.now.text}
        </p>
      )}
      {other.now === null ? null : (
        <p class="small soft">
          {stepStateWords[other.now.state]}
          {other.waits === null ? "" : `: ${other.waits}`}
        </p>
      )}
    </div>
  );
}
