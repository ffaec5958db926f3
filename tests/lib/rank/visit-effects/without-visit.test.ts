import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { causes } from "@/lib/analyse/modes/cause";
import { DAY_MS } from "@/lib/kernel/units";
import { type CauseRecord, causeRates, causeRecord, sharesOf } from "@/lib/rank/visit-effects/cause-record";
import { memoriesDays, momentAt } from "@/lib/rank/visit-effects/features";
import { pathAfter } from "@/lib/rank/visit-effects/path-after";
import { fitWithoutVisit, MOST_RISE } from "@/lib/rank/visit-effects/without-visit";
import { visitedFleet } from "@/tests/fixtures/visited-fleet";

const JOIN_DAYS = 2;
const HORIZON_DAYS = 90;
const { histories } = visitedFleet({ seed: "bounds", detectors: 60, policy: "random" });
const [start = 0, end = 0] = [histories[0]?.exposure.observed[0]?.startAt, histories[0]?.asOf];
const place = causes.indexOf("ageing");

// A fleet of few bad detectors whose events come ever faster: what follows a record is more than all there was, so that
// expectations which join the record would feed on themselves without end.
const records = histories.map((_, index) => {
  const first = 10 * index + 100;
  return recordOf(index % 6 === 0 ? Array.from({ length: 14 }, (_, k) => first + 420 * (1 - 0.72 ** k)) : []);
});
const model = fitWithoutVisit(records, { horizonDays: HORIZON_DAYS, touches: () => false });
const rates = causeRates(records);

/** A detector with faults by ageing on given days, never visited. */
function recordOf(days: readonly number[]): CauseRecord {
  const [any] = histories;
  if (!any) throw new RangeError("no history");
  const faults = [...days]
    .sort((a, b) => a - b)
    .map((day) => ({
      beganAt: start + day * DAY_MS,
      endedAt: start + day * DAY_MS,
      records: 1,
      cause: "low_signal" as const,
      verdict: null,
    }));
  return causeRecord(
    { ...any, faults, work: [] },
    { kind: "fault", joinDays: JOIN_DAYS, causesOf: () => faults.map(() => [{ cause: "ageing", value: 1 }]) },
  );
}

function expectedAfter(record: CauseRecord, knownAt: number) {
  const endAt = Math.min(end, knownAt + HORIZON_DAYS * DAY_MS);
  const moment = momentAt(record, knownAt);
  const path = pathAfter(record, moment, { startAt: knownAt, endAt });
  return { ...model?.expected(record, { place, moment, path, endAt }), moment };
}

describe("what would have come without a visit", () => {
  it("is finite for any record, never beyond an event per cluster gap nor three times the highest rate on record", () => {
    expect(model).not.toBeNull();
    const day = fc.double({ min: 0, max: 1090, noNaN: true });
    fc.assert(
      fc.property(fc.array(day, { maxLength: 120 }), fc.integer({ min: 100, max: 1000 }), (days, knownDay) => {
        const record = recordOf(days);
        const { mean = NaN, moment } = expectedAfter(record, start + knownDay * DAY_MS);
        expect(mean).toBeGreaterThanOrEqual(0);
        expect(mean).toBeLessThanOrEqual(HORIZON_DAYS / JOIN_DAYS + 1e-9);
        // Oracle: the highest of the shrunk rates of the three memories and the fleet's, worked out anew.
        const { perDay, shape } = rates[place] ?? { perDay: NaN, shape: NaN };
        const before = record.events.filter(({ at }) => at < moment.at);
        const shrunk = memoriesDays.map((memory, index) => {
          const faded = before.map(
            (event) => sharesOf([event], place) * Math.exp(-(moment.at - event.at) / DAY_MS / memory),
          );
          const count = faded.reduce((sum, one) => sum + one, 0);
          return (perDay * (shape + count)) / (shape + perDay * (moment.exposuresDays[index] ?? NaN));
        });
        expect(mean).toBeLessThanOrEqual(MOST_RISE * HORIZON_DAYS * Math.max(perDay, ...shrunk) + 1e-9);
      }),
      { numRuns: 150 },
    );
  });

  it("grows with what the record shows", () => {
    const at = start + 800 * DAY_MS;
    const quiet = expectedAfter(recordOf([100]), at).mean ?? NaN;
    const busy = expectedAfter(recordOf([100, 640, 680, 720, 760, 790]), at).mean ?? NaN;
    expect(busy).toBeGreaterThan(3 * quiet);
  });
});
