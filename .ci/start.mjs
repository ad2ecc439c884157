// `npm start`: installs what is missing, builds, and runs the hub with the demo. What follows
// `npm start --` goes to the hub: `npm start -- --port 9000`.

import { spawn } from "node:child_process";
import { installPackages, projectFolder, run } from "./set-up.mjs";

installPackages();
run(process.execPath, [".ci/build.mjs"]);
const hub = spawn(process.execPath, ["dist/hub/main.js", ...process.argv.slice(2)], {
  cwd: projectFolder,
  stdio: "inherit",
});
// A terminal sends SIGINT to the hub as well, for which a second one would mean "at once".
process.on("SIGINT", () => undefined);
for (const signal of ["SIGTERM", "SIGHUP"]) process.on(signal, () => hub.kill(signal));
hub.on("exit", (code) => process.exit(code ?? 1));
