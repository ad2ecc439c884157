// How long something may take.

/** A range of seconds that the plan allows for. */
export type Duration = {
  readonly minSeconds: number;
  readonly likelySeconds: number;
  readonly maxSeconds: number;
};
