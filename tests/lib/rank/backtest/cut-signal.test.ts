import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { summariseSignal } from "@/lib/analyse/signal-summary";
import { cuttableSignal, signalBefore } from "@/lib/rank/backtest/cut-signal";
import type { ReadingSeries } from "@/lib/records/reading";
import { at, makeSeries } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const silentAfterHours = 48;

/** Readings at the given hours from 2025-01-01, with values that repeat in no simple way and gaps in the other columns. */
function seriesAt(hours: readonly number[]): ReadingSeries {
  const sorted = [...hours].sort((a, b) => a - b);
  const column = (value: (hour: number, index: number) => number) => Float64Array.from(sorted, value);
  return {
    readAt: column((hour) => at("2025-01-01") + hour * 3_600_000),
    signalPct: column((hour) => 60 + ((hour * 7.3) % 40)),
    compensationPct: column((hour, index) => (index % 3 === 0 ? Number.NaN : hour % 11)),
    temperatureC: column((hour, index) => (index % 4 === 0 ? Number.NaN : (hour % 30) - 5)),
  };
}

function cut(series: ReadingSeries, before: number): ReadingSeries {
  const count = series.readAt.filter((moment) => moment < before).length;
  return {
    readAt: series.readAt.slice(0, count),
    signalPct: series.signalPct.slice(0, count),
    compensationPct: series.compensationPct.slice(0, count),
    temperatureC: series.temperatureC.slice(0, count),
  };
}

describe("readings cut at a midnight", () => {
  it("give the same summary as the cut series, byte for byte, whatever their gaps", () => {
    const hours = fc.uniqueArray(fc.integer({ min: 0, max: 24 * 40 }), { minLength: 1, maxLength: 120 });
    fc.assert(
      fc.property(
        hours,
        fc.uniqueArray(fc.integer({ min: 0, max: 41 }), { minLength: 1, maxLength: 6 }),
        (times, days) => {
          const series = seriesAt(times);
          const origins = days.map((day) => at("2025-01-01") + day * DAY_MS);
          const until = at("2025-01-01") + 42 * DAY_MS;
          const cuttable = cuttableSignal(series, { origins, until, silentAfterHours });
          for (const origin of origins) {
            const expected = summariseSignal(cut(series, origin), { asOf: origin, silentAfterHours });
            expect(cuttable && signalBefore(cuttable, origin)).toEqual(expected);
          }
        },
      ),
    );
  });

  it("are nothing where none lies before the midnight, and nothing at all without readings", () => {
    const series = makeSeries({ from: "2025-03-01", until: "2025-03-05" });
    const origins = [at("2025-03-01"), at("2025-03-02")];
    const cuttable = cuttableSignal(series, { origins, until: at("2025-04-01"), silentAfterHours });
    expect(cuttable && signalBefore(cuttable, origins[0] ?? 0)).toBeNull();
    expect(cuttable && signalBefore(cuttable, origins[1] ?? 0)?.day).toHaveLength(1);
    const none = makeSeries({ from: "2025-03-01", until: "2025-03-01" });
    expect(cuttableSignal(none, { origins, until: at("2025-04-01"), silentAfterHours })).toBeNull();
  });

  it("are refused within a day, where days cannot be cut, and out of order", () => {
    const series = makeSeries({ from: "2025-03-01", until: "2025-03-05" });
    const noon = { origins: [at("2025-03-02T12:00:00Z")], until: at("2025-04-01"), silentAfterHours };
    expect(() => cuttableSignal(series, noon)).toThrow(/not at UTC midnight/);
    const turned = { ...series, readAt: Float64Array.from([...series.readAt].reverse()) };
    expect(() => cuttableSignal(turned, { ...noon, origins: [] })).toThrow(/out of order/);
  });
});
