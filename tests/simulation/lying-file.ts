// A liar hands on a file that it made itself: an honest one's content with a lie added, sealed with its own
// key, as any device of the run may seal one.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { sealText } from "../../machines/sync/bundle.ts";
import type { BundleContent } from "../../machines/sync/bundle.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { signText } from "../../workers/keys/sign-text.ts";
import { BundleRefusedError } from "../../workers/link/bundle-refused-error.ts";
import { gunzipText, gzipText } from "../../workers/link/gzip.ts";
import { makeBundle } from "../../workers/link/make-bundle.ts";
import { openBundle } from "../../workers/link/open-bundle.ts";
import { takeBundle } from "../../workers/link/take-bundle.ts";
import { nextLie } from "./liar.ts";
import type { Liar } from "./liar.ts";
import { lookForCrash } from "./look-for-crash.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** A device is given a file with a lie in it. Nothing, before there is a liar. */
export async function giveLyingFile(simulation: Simulation, to: SimulatedDevice): Promise<void> {
  const { liar } = simulation;
  if (liar === null || to.power.stepsLeft !== null) return;
  const came = await takeLyingFile(simulation, liar, to).catch((cause: unknown) => {
    return cause instanceof Error ? cause.name : String(cause);
  });
  note(simulation, "lying-file", `${to.name} ${came}`);
  if (to.power.isOn && !usualEnds.has(came)) {
    simulation.faults.push(`a lying file is taken for what it is, or refused: ${came}`);
  }
  await lookForCrash(simulation, to);
}

const usualEnds: ReadonlySet<string> = new Set([
  "taken",
  "nothing",
  "refused",
  "QuotaExceededError",
  "ProcedureMissingError",
]);

async function takeLyingFile(
  simulation: Simulation,
  liar: Liar,
  to: SimulatedDevice,
): Promise<string> {
  const { run } = simulation;
  const segment = await nextLie(simulation, liar);
  if (segment === null) return "nothing";
  const wish = { run, readers: "everybody", wallMs: to.readWallMs() } as const;
  const { bytes } = await makeBundle(to.database, wish);
  const honest = JSON.parse((await gunzipText(bytes, 1e9)) ?? "") as { content: BundleContent };
  const segments = [...honest.content.segments, segment];
  const content = { ...honest.content, madeBy: liar.key.device, segments };
  const digest = sha256Hex(canonicalJson(content));
  const text = sealText(run, liar.key.device, digest);
  const signature = await signText(liar.key.privateKey, text);
  const seal = { digest, key: liar.key.publicKey, signature };
  try {
    const packed = await gzipText(canonicalJson({ content, seal }));
    await takeBundle(to.database, await openBundle(to.database, packed, run), to.readWallMs());
    return "taken";
  } catch (cause) {
    if (cause instanceof BundleRefusedError) return "refused";
    throw cause;
  }
}
