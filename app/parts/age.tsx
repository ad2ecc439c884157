// How old a word is: "14 s ago", "3 min ago", "offline since 10:42".

/** How old something is, in the words that fit its age. Future or present: "just now". */
export function ageWords(sinceMs: number, nowMs: number): string {
  const seconds = Math.floor((nowMs - sinceMs) / 1000);
  if (seconds < 2) return "just now";
  if (seconds < 90) return `${seconds} s ago`;
  if (seconds < 5400) return `${Math.round(seconds / 60)} min ago`;
  return `since ${timeOfDay(sinceMs)}`;
}

/** The time of day on this device's own dial: "10:42". */
export function timeOfDay(ms: number): string {
  return new Intl.DateTimeFormat(undefined, {
    hour: "2-digit",
    minute: "2-digit",
    hourCycle: "h23",
  }).format(ms);
}

/** What an age is of. */
export type AgeProps = {
  readonly sinceMs: number | null;
  readonly nowMs: number;
  /** After how many seconds of silence it is said to be offline; 30 unless told. */
  readonly offlineAfterSeconds?: number;
};

/** The age of the last word from a device, as text. */
export function Age({ sinceMs, nowMs, offlineAfterSeconds }: AgeProps) {
  if (sinceMs === null) return <span class="age">not heard yet</span>;
  const old = nowMs - sinceMs > (offlineAfterSeconds ?? 30) * 1000;
  return (
    <span class="age">
      {old ? `offline since ${timeOfDay(sinceMs)}` : ageWords(sinceMs, nowMs)}
    </span>
  );
}
