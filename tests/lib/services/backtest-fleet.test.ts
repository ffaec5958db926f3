import { beforeAll, describe, expect, it } from "vitest";
import { latestBacktest, saveBacktest } from "@/db/queries/backtests";
import { rankDetectors } from "@/lib/rank/rank";
import { rankingJson } from "@/lib/report/ranking-json";
import { type BacktestedFleet, type BacktestProgress, backtestFleet } from "@/lib/services/backtest-fleet";
import type { Context } from "@/lib/services/context";
import { loadBacktest } from "@/lib/services/load-backtest";
import { asOfOf } from "@/lib/services/load-fleet";
import { loadSettings } from "@/lib/services/load-settings";
import { backtestJson, backtestText } from "@/lib/services/print-backtest";
import { rankFleet } from "@/lib/services/rank-fleet";
import { saveSettings } from "@/lib/services/save-settings";
import { showProof } from "@/lib/services/show-proof";
import { backtestFiles, TURN_AT } from "@/tests/fixtures/backtest-files";
import { importTexts, makeContext, someOf } from "@/tests/fixtures/import-folder";

const horizonDays = 90;
const months = 3;
let context: Context;
let changed: Context;
let first: BacktestedFleet;
const told: BacktestProgress[] = [];

beforeAll(async () => {
  [context, changed] = [makeContext(), makeContext()];
  await importTexts(context, backtestFiles());
  await importTexts(changed, Object.fromEntries(Object.entries(backtestFiles({ otherFuture: true })).reverse()));
  first = await backtestFleet(context, { months, horizonDays, onProgress: (progress) => told.push(progress) });
}, 60_000);

/** The ranking a backtest makes of a store as of the turn, as the ranking JSON prints it. */
async function pastRanking({ store }: Context): Promise<string> {
  const { settings } = await loadSettings(store);
  const { asOf: until } = await asOfOf(store, null);
  const fleet = await loadBacktest(store, { origins: [TURN_AT], until, settings });
  return rankingJson(rankDetectors(fleet.at(TURN_AT), { horizonDays }), { asOfText: "turn" });
}

const printedRanking = async (of: Context) =>
  (await rankFleet(of, { asOf: new Date(TURN_AT).toISOString(), horizonDays, costs: null, format: "json" })).replace(
    new Date(TURN_AT).toISOString(),
    "turn",
  );

describe("a past ranking", { timeout: 60_000 }, () => {
  it("does not move by a byte whatever happens afterwards, and is the one the command line prints as of then", async () => {
    const before = await pastRanking(context);
    expect(JSON.parse(before)).toMatchObject({ detectors: expect.objectContaining({ length: 12 }) });
    expect(await pastRanking(changed)).toBe(before);
    expect(await printedRanking(context)).toBe(before);
    expect(await printedRanking(changed)).toBe(before);
  });

  it("stands in a store whose later records do differ: what followed is not the same", async () => {
    const other = await backtestFleet(changed, { months: 60, horizonDays, save: false });
    const whole = await backtestFleet(context, { months: 60, horizonDays, save: false });
    const at = (of: BacktestedFleet) => of.result.origins.find(({ asOf }) => asOf === TURN_AT);
    expect(at(whole)?.detectors).toBe(12);
    expect(at(other)?.counts.faults.predicted).toBeGreaterThan(0);
    expect(at(other)?.realisedCost).not.toBe(at(whole)?.realisedCost);
  });
});

describe("a backtest of the stored fleet", { timeout: 60_000 }, () => {
  it("ranks the last months that have a year before and a horizon after them, and tells how far it is", () => {
    // 640 days from 2024 end on 1 October 2025; 90 days before that is in July.
    expect(first.result.origins.map(({ asOf }) => new Date(asOf).toISOString().slice(0, 10))).toEqual([
      "2025-05-01",
      "2025-06-01",
      "2025-07-01",
    ]);
    expect(first.result).toMatchObject({ monthsAsked: 3, horizonDays: 90, currency: "EUR" });
    expect(told.at(-1)).toEqual({ what: "past months", done: 3, total: 3 });
    expect(told[0]).toEqual({ what: "detectors", done: 12, total: 12 });
  });

  it("is the same to the byte when made again, and is not stored where that is not wanted", async () => {
    const again = await backtestFleet(context, { months, horizonDays, save: false });
    expect(again.backtestId).toBeNull();
    expect(backtestJson(again)).toBe(backtestJson(first));
    expect((await latestBacktest(context.store))?.id).toBe(first.backtestId);
  });

  it("comes back as it was saved, and looks outdated once settings or data moved", async () => {
    expect(await showProof(context)).toEqual({
      state: "ready",
      createdAt: context.now,
      settingsVersion: 0,
      dataMoved: false,
      settingsMoved: false,
      shares: [0.02, 0.05, 0.1, 0.2],
      methodWords: expect.objectContaining({ perfect: "perfect foresight" }),
      result: first.result,
    });
    await importTexts(context, {
      "events.csv": "detector_id,began_at,ended_at,condition,cause,verdict\nB02,2025-08-01T00:00:00Z,,fault,,\n",
    });
    await saveSettings(context, { values: { perFaultEpisode: "999" } });
    expect(await showProof(context)).toMatchObject({ dataMoved: true, settingsMoved: true, settingsVersion: 0 });
  });

  it("prints what each way of choosing held, and calibration, for a terminal", () => {
    const text = backtestText(first);
    expect(text).toMatch(/^3 rankings made as of 2025-05-01 to 2025-07-01, each against the 90 days after it\./);
    for (const words of ["this ranking, by avoided cost", "most faults in 12 months", "perfect foresight"]) {
      expect(text).toMatch(new RegExp(`^${words} +\\d+ % +\\d+ % +\\d+ % +\\d+ %$`, "m"));
    }
    expect(text).toMatch(/tenth 10 .* predicted/);
  });

  it("is refused to those who may not analyse, for odd numbers, and where records are too short", async () => {
    const reader = { ...context, permissions: new Set(["see"] as const) };
    await expect(backtestFleet(reader)).rejects.toThrow(/needs the right 'analyse'/);
    await expect(showProof({ ...context, permissions: new Set() })).rejects.toThrow(/needs the right 'see'/);
    await expect(backtestFleet(context, { months: 0 })).rejects.toThrow(
      /months '0' is not a whole number from 1 to 60/,
    );
    await expect(backtestFleet(context, { horizonDays: 0.5 })).rejects.toThrow(/horizon '0.5'/);
    const empty = makeContext();
    await expect(backtestFleet(empty)).rejects.toThrow(/holds no records yet/);
    expect(await showProof(empty)).toEqual({ state: "no_backtest", sites: 0 });
    await importTexts(empty, someOf("sites.csv", "detectors.csv", "readings.csv"));
    await expect(backtestFleet(empty)).rejects.toThrow(/records reach over \d+ days, which is too short/);
  });
});

describe("stored backtests", () => {
  it("are kept for three, and one in another format is not shown", async () => {
    const { store } = changed;
    const row = {
      knownUntil: 1,
      horizonDays: 90,
      months: 1,
      settingsVersion: 2,
      dataVersion: 3,
      formatVersion: 99,
      result: { a: [1] },
    };
    for (let createdAt = 1; createdAt <= 5; createdAt += 1) await saveBacktest(store, { ...row, createdAt });
    expect(store.sqlite.prepare("SELECT created_at FROM backtests ORDER BY id").pluck().all()).toEqual([3, 4, 5]);
    expect(await latestBacktest(store)).toEqual({ ...row, id: expect.any(Number), createdAt: 5 });
    expect(await showProof(changed)).toEqual({ state: "no_backtest", sites: 3 });
  });
});
