// Why a camera gives no picture, in words. The typed code is always the other way.
//
// [camera-words 1] Every failure has words, and each says to type the code instead.
// Source of the names: W3C, Media Capture and Streams, getUserMedia(); cited from memory.

/** A sentence that says what is so, and one that says what to do. */
export type CameraWords = { readonly says: string; readonly mend: string };

/**
 * The words for a camera that gives no picture.
 *
 * @param failure the name of the browser's error, or "no-way" where the page is given no camera at all
 * Errors: none.
 */
export function cameraWords(failure: string): CameraWords {
  return wordsByFailure[failure] ?? unknown;
}

const typeIt = "Type the code instead.";
const none: CameraWords = { says: "No camera was found.", mend: typeIt };
const refused: CameraWords = {
  says: "The camera may not be used here.",
  mend: `${typeIt} Or allow the camera for this page in the browser’s settings, and scan again.`,
};
const unknown: CameraWords = { says: "The camera gives no picture.", mend: typeIt };

const wordsByFailure: Readonly<Record<string, CameraWords>> = {
  NotAllowedError: refused,
  SecurityError: refused,
  NotFoundError: none,
  OverconstrainedError: none,
  NotReadableError: {
    says: "The camera is used by something else.",
    mend: `${typeIt} Or close what uses it, and scan again.`,
  },
  AbortError: unknown,
  "no-way": {
    says: "This browser gives the page no camera.",
    mend: `${typeIt} Cameras work only at an https address.`,
  },
  "no-reader": {
    says: "The part of the app that reads QR codes could not be loaded.",
    mend: `${typeIt} Or reload the app while the hub is in reach.`,
  },
};
