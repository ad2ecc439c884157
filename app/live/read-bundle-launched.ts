// A bundle's file that a person opened outside the app: the platform gives it to the page.
//
// It comes where the installed app is asked to handle files (the manifest's `file_handlers`); elsewhere
// the file is picked in the app.

import { signal } from "@preact/signals";
import { tellConsole } from "../../workers/link/tell-console.ts";

/** The file that was opened last, until a screen takes it. */
export const launchedFile = signal<File | null>(null);

/** Hears of opened files from now on, and goes to the shelf with them. Errors: none. */
export function hearLaunchedFiles(): void {
  const queue: unknown = Reflect.get(globalThis, "launchQueue");
  if (!isLaunchQueue(queue)) return;
  queue.setConsumer(({ files }) => {
    const [first] = files ?? [];
    if (first === undefined) return;
    void takeLaunched(first);
  });
}

async function takeLaunched(handle: FileSystemFileHandle): Promise<void> {
  try {
    launchedFile.value = await handle.getFile();
    location.hash = "#/shelf";
  } catch (cause) {
    tellConsole("The opened file could not be read.", cause);
  }
}

type LaunchQueue = {
  readonly setConsumer: (
    consumer: (launch: { readonly files?: readonly FileSystemFileHandle[] }) => void,
  ) => void;
};

function isLaunchQueue(value: unknown): value is LaunchQueue {
  return typeof value === "object" && value !== null && "setConsumer" in value;
}
