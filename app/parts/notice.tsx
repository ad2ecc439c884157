// A word of the app to the person: what is so, and what to do about it.

import type { ComponentChildren } from "preact";
import "./notice.css";

/** What a notice says. */
export type NoticeProps = {
  readonly title: string;
  readonly tone?: "plain" | "against" | "good";
  /** `alert`: said at once by a screen reader when it appears. */
  readonly role?: "alert" | "status" | "note";
  readonly children?: ComponentChildren;
};

/** A framed word: its title says it all, the rest says what to do. */
export function Notice({ title, tone, role, children }: NoticeProps) {
  return (
    <div class={`notice notice--${tone ?? "plain"}`} role={role ?? "note"}>
      <p class="notice__title">{title}</p>
      {children}
    </div>
  );
}
