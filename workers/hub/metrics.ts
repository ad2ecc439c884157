// Counts for the operator's monitoring, in the Prometheus text format, version 0.0.4.
//
// [metrics 1] A counter only rises, and its labels are names from our code, never from a request.

import type { StorageCounts } from "./storage/record-storage.ts";

/** What the hub counts. */
export type Metrics = {
  readonly countRequest: (route: string, status: number, durationSeconds: number) => void;
  readonly countRefusal: (code: string) => void;
  readonly countTaken: (entries: number) => void;
  /** `code`: why a segment was set aside. */
  readonly countSetAside: (code: string) => void;
  /** The text of all counts. */
  readonly text: (now: MetricsNow) => string;
};

/** What is measured at the time of asking. */
type MetricsNow = {
  readonly storage: StorageCounts;
  readonly openStreams: number;
  readonly upSeconds: number;
  readonly residentBytes: number;
  readonly isDraining: boolean;
  /** Milliseconds since 1970; null: there is no certificate. */
  readonly certificateEndsAtMs: number | null;
};

/** Upper bounds of the buckets of request durations, in seconds. */
const durationBounds = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10];

/** Counts that all start at nought. */
export function createMetrics(): Metrics {
  const requests = new Map<string, number>();
  const refusals = new Map<string, number>();
  const setAside = new Map<string, number>();
  let taken = 0;
  const durations = { buckets: durationBounds.map(() => 0), sum: 0, count: 0 };
  return {
    countRequest(route, status, durationSeconds) {
      raise(requests, labels({ route, status: String(status) }));
      for (const [index, bound] of durationBounds.entries()) {
        if (durationSeconds <= bound) durations.buckets[index]! += 1;
      }
      durations.sum += durationSeconds;
      durations.count += 1;
    },
    countRefusal: (code) => raise(refusals, labels({ code })),
    countTaken(entries) {
      taken += entries;
    },
    countSetAside: (code) => raise(setAside, labels({ code })),
    text: (now) =>
      [
        family("lanehold_requests_total", "counter", "Requests answered.", lines(requests)),
        family("lanehold_refusals_total", "counter", "Requests refused.", lines(refusals)),
        family("lanehold_request_seconds", "histogram", "Time to answer, streams apart.", [
          ...durationBounds.map(
            (bound, index) => `_bucket{le="${bound}"} ${durations.buckets[index]}`,
          ),
          `_bucket{le="+Inf"} ${durations.count}`,
          `_sum ${durations.sum}`,
          `_count ${durations.count}`,
        ]),
        single("lanehold_entries_taken_total", "counter", "Entries taken.", taken),
        family(
          "lanehold_segments_set_aside_total",
          "counter",
          "Segments set aside: forks, broken chains, wrong signatures.",
          lines(setAside),
        ),
        gauges(now),
      ].join(""),
  };
}

function gauges(now: MetricsNow): string {
  const { storage, openStreams, upSeconds, residentBytes, certificateEndsAtMs } = now;
  const values: readonly (readonly [name: string, says: string, value: number])[] = [
    ["lanehold_stored_runs", "Runs kept.", storage.runs],
    ["lanehold_stored_devices", "Devices of runs kept.", storage.devices],
    ["lanehold_stored_entries", "Entries kept.", storage.entries],
    ["lanehold_stored_set_aside", "Segments set aside.", storage.setAside],
    ["lanehold_open_streams", "Devices that follow.", openStreams],
    ["lanehold_up_seconds", "Time since the start.", upSeconds],
    ["process_resident_memory_bytes", "Memory in use.", residentBytes],
    ["lanehold_draining", "1: the hub has been told to stop.", now.isDraining ? 1 : 0],
  ];
  const all = values.map(([name, says, value]) => single(name, "gauge", says, value)).join("");
  if (certificateEndsAtMs === null) return all;
  const [name, says] = [
    "lanehold_certificate_end_seconds",
    "When the certificate ends, Unix time.",
  ];
  return all + single(name, "gauge", says, certificateEndsAtMs / 1000);
}

function family(name: string, sort: string, says: string, samples: readonly string[]): string {
  const body = samples.map((sample) => `${name}${sample}\n`).join("");
  return `# HELP ${name} ${says}\n# TYPE ${name} ${sort}\n${body}`;
}

function single(name: string, sort: string, says: string, value: number): string {
  return family(name, sort, says, [` ${value}`]);
}

function lines(counts: ReadonlyMap<string, number>): readonly string[] {
  return [...counts].map(([label, count]) => `${label} ${count}`);
}

function labels(values: Readonly<Record<string, string>>): string {
  return `{${Object.entries(values)
    .map(([name, value]) => `${name}="${value}"`)
    .join(",")}}`;
}

function raise(countsMutable: Map<string, number>, key: string): void {
  countsMutable.set(key, (countsMutable.get(key) ?? 0) + 1);
}
