// `npm test`: installs what is missing, a browser included, and runs every check. Stops at the
// first kind of check that fails, with its exit code.

import { installForTests, installPackages, run } from "./set-up.mjs";

installPackages();
installForTests();
for (const script of [
  "check:types",
  "check:lint",
  "check:format",
  "check:unused",
  "build",
  "test:quick",
  "test:browser",
])
  run("npm", ["run", "--silent", script]);
