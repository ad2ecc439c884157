// What a return costs besides the way.

/** Times of a return that no procedure states; all in seconds. */
export type ReturnRules = {
  readonly leaveRestraintSeconds: number;
  readonly hookSeconds: number;
  readonly unhookSeconds: number;
  /** To take up one item that the plan has put down here and that may not stay. */
  readonly gatherSeconds: number;
  /** For an arm from one site to another, where the procedure moves it nowhere. */
  readonly moveArmSeconds: number;
  /** From the arm's tip to the site that it is at, or back. */
  readonly stepOverSeconds: number;
  readonly source: string;
};

/** The rules where nobody has set others. Common practice, no source: invented, to be confirmed. */
export const usualReturnRules: ReturnRules = {
  leaveRestraintSeconds: 30,
  hookSeconds: 20,
  unhookSeconds: 15,
  gatherSeconds: 45,
  moveArmSeconds: 600,
  stepOverSeconds: 60,
  source: "Common practice, no source. Unverified: confirm for your own facility.",
};
