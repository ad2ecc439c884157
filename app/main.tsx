// The page's entry: mounts the shell, registers the service worker, hears of files that are opened.

import { render } from "preact";
import { registerServiceWorker } from "./live/follow-update.ts";
import { hearLaunchedFiles } from "./live/read-bundle-launched.ts";
import { Shell } from "./shell/shell.tsx";

const place = document.querySelector("#app");
if (place !== null) render(<Shell />, place);
void registerServiceWorker();
hearLaunchedFiles();
