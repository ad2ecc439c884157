// The page's entry: mounts the shell and registers the service worker.

import { render } from "preact";
import { registerServiceWorker } from "./live/follow-update.ts";
import { Shell } from "./shell/shell.tsx";

const place = document.querySelector("#app");
if (place !== null) render(<Shell />, place);
void registerServiceWorker();
