// Installs what is missing: packages, and for tests a browser and a database. Node's own modules
// only, since it runs before anything is installed.

import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** The project's folder. */
export const projectFolder = join(dirname(fileURLToPath(import.meta.url)), "..");

/**
 * Runs a command with the terminal's own input and output; ends this process when it fails.
 *
 * @param {string} command
 * @param {readonly string[]} args
 */
export function run(command, args) {
  const { status, error } = spawnSync(command, args, { cwd: projectFolder, stdio: "inherit" });
  if (error !== undefined) console.error(`${command}: ${error.message}`);
  if (status !== 0) process.exit(status ?? 1);
}

/** Installs the packages of the lock file, unless the installed ones are already those. */
export function installPackages() {
  const lock = readFileSync(join(projectFolder, "package-lock.json"));
  const wanted = createHash("sha256").update(lock).update(process.version).digest("hex");
  const mark = join(projectFolder, "node_modules", ".lanehold-installed");
  if (existsSync(mark) && readFileSync(mark, "utf8") === wanted) return;
  console.log("Installing packages. The first time takes a few minutes: one of them is compiled.");
  run("npm", ["ci", "--no-audit", "--no-fund"]);
  mkdirSync(dirname(mark), { recursive: true });
  writeFileSync(mark, wanted);
}

/** Installs Debian's Chromium and PostgreSQL, and what the tests of print and TLS need, if missing. */
export function installForTests() {
  const wanted = [
    { file: process.env.LANEHOLD_CHROMIUM ?? "/usr/bin/chromium", debianPackage: "chromium" },
    { file: "/usr/bin/pdftotext", debianPackage: "poppler-utils" },
    { file: "/usr/bin/certutil", debianPackage: "libnss3-tools" },
    { file: postgresProgram(), debianPackage: "postgresql" },
  ].filter(({ file }) => !existsSync(file));
  if (wanted.length === 0) return;
  const names = wanted.map(({ debianPackage }) => debianPackage);
  if (process.getuid?.() !== 0) {
    console.error(
      `The tests need ${names.join(" and ")}. As an administrator: apt-get install ${names.join(" ")}`,
    );
    process.exit(1);
  }
  console.log(`Installing ${names.join(", ")} from Debian's packages.`);
  run("apt-get", ["update", "-qq"]);
  run("apt-get", [
    "install",
    "-y",
    "-qq",
    "--no-install-recommends",
    ...names,
    "fonts-dejavu-core",
  ]);
}

// The tests start a cluster of their own with it; one that the package may have started is not used.
function postgresProgram() {
  const root = "/usr/lib/postgresql";
  const [version = "15"] = existsSync(root) ? readdirSync(root) : [];
  return join(process.env.LANEHOLD_POSTGRES ?? join(root, version, "bin"), "initdb");
}
