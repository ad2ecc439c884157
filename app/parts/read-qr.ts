// Reading a QR out of a camera's picture: by the browser itself where it can, else by our own reader.
//
// [read-qr 1] Our reader is fetched only when somebody scans; it is a file of the app, kept for offline.

/** Looks at the picture once. Null: there is no QR in it. Errors: none. */
export type QrReader = (video: HTMLVideoElement) => Promise<string | null>;

/** A reader for this browser. Errors: the browser's, if our own reader cannot be loaded. */
export async function createQrReader(): Promise<QrReader> {
  const detector = await ownDetector();
  if (detector === null) return readerOnCanvas();
  return async (video) => {
    const [found] = await detector.detect(video).catch(() => []);
    return found?.rawValue ?? null;
  };
}

// What the browser has by itself. TypeScript's library does not know it yet.
type Detector = {
  readonly detect: (video: HTMLVideoElement) => Promise<readonly { readonly rawValue: string }[]>;
};
type DetectorMaker = (new (options: { readonly formats: readonly string[] }) => Detector) & {
  readonly getSupportedFormats: () => Promise<readonly string[]>;
};

async function ownDetector(): Promise<Detector | null> {
  const maker: unknown = Reflect.get(globalThis, "BarcodeDetector");
  if (!isDetectorMaker(maker)) return null;
  try {
    const formats = await maker.getSupportedFormats();
    return formats.includes("qr_code") ? new maker({ formats: ["qr_code"] }) : null;
  } catch {
    return null;
  }
}

function isDetectorMaker(value: unknown): value is DetectorMaker {
  return typeof value === "function" && "getSupportedFormats" in value;
}

/** Pictures are made at most so wide before they are read, in pixels. */
const pictureWidthMax = 960;

async function readerOnCanvas(): Promise<QrReader> {
  const { decodeQR } = await import("qr/decode.js");
  const canvas = document.createElement("canvas");
  const drawing = canvas.getContext("2d", { willReadFrequently: true });
  return async (video) => {
    if (drawing === null || video.videoWidth === 0) return null;
    const scale = Math.min(1, pictureWidthMax / video.videoWidth);
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    drawing.drawImage(video, 0, 0, canvas.width, canvas.height);
    try {
      return decodeQR(drawing.getImageData(0, 0, canvas.width, canvas.height));
    } catch {
      // It throws where it finds none.
      return null;
    }
  };
}
