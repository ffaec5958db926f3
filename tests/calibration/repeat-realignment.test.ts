import { describe, expect, it } from "vitest";
import { findAll } from "@/lib/analyse/find";
import { findingsContext } from "@/lib/analyse/findings-context";
import { fleetHistory } from "@/lib/analyse/fleet-history";
import { summariseSignal } from "@/lib/analyse/signal-summary";
import { defaultSettings } from "@/lib/settings/settings";
import { simulateAdversary } from "@/tests/adversary/simulate";

const settings = defaultSettings();

const fleets = new Map<string, ReturnType<typeof simulateAdversary>>();

function fleetOf(seed: string, quiet: boolean) {
  const known = fleets.get(seed) ?? simulateAdversary({ seed, detectors: 250, quiet, paths: 1 });
  fleets.set(seed, known);
  return known;
}

/** Detectors listed for repeat realignment in a harsh fleet, against what is planted; with or without measurements. */
function counted(seed: string, { measured, quiet = false }: { measured: boolean; quiet?: boolean }) {
  const { records, series, asOf, truth } = fleetOf(seed, quiet);
  const signals = new Map(
    [...series].flatMap(([id, readings]) => {
      const summary = summariseSignal(readings, { asOf, silentAfterHours: settings.silentAfterHours });
      return measured && summary ? [[id, summary] as const] : [];
    }),
  );
  const work = records.work.map((one) => (measured ? one : { ...one, signalBeforePct: null, signalAfterPct: null }));
  const history = fleetHistory({ records: { ...records, work }, signals, settings, asOf });
  const listed = findAll(findingsContext(history, { horizonDays: 90 }))
    .filter(({ findings }) => findings.some(({ kind }) => kind === "repeat_realignment"))
    .map(({ detectorId }) => truth.get(detectorId)?.planted.repeat_realignment);
  const planted = [...truth.values()].filter((one) => one.planted.repeat_realignment === "strong").length;
  return {
    planted,
    found: listed.filter((one) => one === "strong").length,
    listed: listed.length,
    wrong: listed.filter((one) => one === "none").length,
  };
}

function total(seeds: readonly string[], options: Parameters<typeof counted>[1]) {
  const sum = { planted: 0, found: 0, listed: 0, wrong: 0 };
  for (const seed of seeds) {
    const one = counted(seed, options);
    sum.planted += one.planted;
    sum.found += one.found;
    sum.listed += one.listed;
    sum.wrong += one.wrong;
  }
  console.info(options, sum);
  return sum;
}

describe("repeat realignment on fleets whose bad detectors are realigned on trial", () => {
  it("where the signal is measured at least half of the loose mounts are named and hardly another detector", () => {
    const { planted, found, listed, wrong } = total(["holds 1", "holds 2"], { measured: true });
    expect(found / planted).toBeGreaterThan(0.5);
    // 5 % of some twenty is 1: more than three has a chance of 2 %.
    expect(listed).toBeGreaterThan(0);
    expect(wrong).toBeLessThanOrEqual(3);
  });

  it("where nothing is measured fewer are named, still hardly another detector", () => {
    const { planted, found, wrong } = total(["holds 1", "holds 2"], { measured: false });
    expect(found / planted).toBeGreaterThan(0.3);
    expect(wrong).toBeLessThanOrEqual(3);
  });

  it("where no mount is loose nobody is named", () => {
    expect(total(["quiet holds 1"], { measured: true, quiet: true }).listed).toBe(0);
  });
});
