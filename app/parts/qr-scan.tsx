// Scanning a QR with the tablet's camera.
//
// [qr-scan 1] The camera is on only while this is shown.
// [qr-scan 2] Without a picture it says why, and what to do instead.

import { useEffect, useRef, useState } from "preact/hooks";
import { cameraWords } from "../../machines/views/camera-words.ts";
import { Notice } from "./notice.tsx";
import "./qr-scan.css";
import { createQrReader } from "./read-qr.ts";

/** `onText` is told every text that is read, over and over while the QR is held before the camera. */
export type QrScanProps = { readonly onText: (text: string) => void };

/** The camera's picture, and what it sees. */
export function QrScan({ onText }: QrScanProps) {
  const ref = useRef<HTMLVideoElement>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const [sees, setSees] = useState(false);
  const latest = useRef(onText);
  latest.current = onText;
  useEffect(() => {
    const stopping = new AbortController();
    const { signal } = stopping;
    const told = {
      onSees: setSees,
      onText: (text: string) => latest.current(text),
      onFailure: setFailure,
    };
    void scan({ video: ref.current, signal, ...told });
    return () => stopping.abort();
  }, []);
  if (failure !== null) {
    const { says, mend } = cameraWords(failure);
    return (
      <Notice title={says} tone="against" role="alert">
        <p>{mend}</p>
      </Notice>
    );
  }
  return (
    <div class="qr-scan">
      <video
        ref={ref}
        class="qr-scan__picture"
        playsInline
        muted
        aria-label="What the camera sees"
      />
      <p role="status">
        {sees ? "Hold the QR before the camera, all of it in the picture." : "Starting the camera…"}
      </p>
    </div>
  );
}

/** Between two looks at the picture, in milliseconds. */
const lookEveryMs = 150;

type Scanning = {
  readonly video: HTMLVideoElement | null;
  readonly signal: AbortSignal;
  readonly onSees: (sees: boolean) => void;
  readonly onText: (text: string) => void;
  /** Told the name of what failed. */
  readonly onFailure: (failure: string) => void;
};

// Scans until it is stopped.
async function scan(scanning: Scanning): Promise<void> {
  const failure = await scanPictures(scanning).catch(nameOf);
  if (failure !== null && !scanning.signal.aborted) scanning.onFailure(failure);
}

function nameOf(cause: unknown): string {
  return cause instanceof Error || cause instanceof DOMException ? cause.name : "unknown";
}

// The name of what failed; null: it was stopped. Errors: the camera's.
async function scanPictures({ video, signal, onSees, onText }: Scanning): Promise<string | null> {
  const devices: MediaDevices | undefined = navigator.mediaDevices;
  if (video === null || devices === undefined) return "no-way";
  const picture = { facingMode: "environment", width: { ideal: 1280 } };
  const stream = await devices.getUserMedia({ video: picture, audio: false });
  const stop = (): void => stream.getTracks().forEach((track) => track.stop());
  if (signal.aborted) stop();
  signal.addEventListener("abort", stop);
  const read = await createQrReader().catch(() => null);
  if (read === null) {
    stop();
    return "no-reader";
  }
  video.srcObject = stream;
  await video.play();
  onSees(true);
  while (!signal.aborted) {
    const text = await read(video);
    if (text !== null && !signal.aborted) onText(text);
    await pause(lookEveryMs);
  }
  return null;
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, ms);
  });
}
