// `npm start`: installs what is missing, builds, and runs the hub with the demo.

import { installPackages, run } from "./set-up.mjs";

installPackages();
run(process.execPath, [".ci/build.mjs"]);
run(process.execPath, ["dist/hub/main.js"]);
