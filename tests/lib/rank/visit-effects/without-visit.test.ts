import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { causes } from "@/lib/analyse/modes/cause";
import { DAY_MS } from "@/lib/kernel/units";
import { type CauseRecord, causeRates, causeRecord, sharesOf } from "@/lib/rank/visit-effects/cause-record";
import { memoriesDays, momentAt } from "@/lib/rank/visit-effects/features";
import { pathAfter } from "@/lib/rank/visit-effects/path-after";
import { fitWithoutVisit, MOST_RISE } from "@/lib/rank/visit-effects/without-visit";
import { visitedFleet } from "@/tests/fixtures/visited-fleet";

const JOIN_DAYS = 7;
const HORIZON_DAYS = 90;
const { histories, causesOf } = visitedFleet({ seed: "bounds", detectors: 120, policy: "deteriorating" });
const records = histories.map((history) =>
  causeRecord(history, { kind: "fault", joinDays: JOIN_DAYS, causesOf: (id) => causesOf(id) }),
);
const model = fitWithoutVisit(records, { horizonDays: HORIZON_DAYS, touches: () => false });
const rates = causeRates(records);
const [start = 0, end = 0] = [histories[0]?.exposure.observed[0]?.startAt, histories[0]?.asOf];

/** The first record with faults of one cause on given days instead of its own, read up to a moment. */
function recordOf(days: readonly number[], place: number): CauseRecord {
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
  const cause = causes[place] ?? "unknown";
  return causeRecord(
    { ...any, faults, work: [] },
    { kind: "fault", joinDays: JOIN_DAYS, causesOf: () => faults.map(() => [{ cause, value: 1 }]) },
  );
}

function expectedAfter(record: CauseRecord, { place, knownAt }: { place: number; knownAt: number }) {
  const endAt = Math.min(end, knownAt + HORIZON_DAYS * DAY_MS);
  const moment = momentAt(record, knownAt);
  const path = pathAfter(record, moment, { startAt: knownAt, endAt });
  return { ...model?.expected(record, { place, moment, path, endAt }), moment };
}

describe("what would have come without a visit", () => {
  const places = rates.flatMap((rate, place) => (rate ? [place] : []));

  it("is finite for any record, never beyond an event per cluster gap nor three times the highest rate on record", () => {
    expect(places.length).toBe(3);
    const day = fc.double({ min: 0, max: 1090, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(day, { maxLength: 120 }),
        fc.constantFrom(...places),
        fc.integer({ min: 100, max: 1000 }),
        (days, place, knownDay) => {
          const record = recordOf(days, place);
          const { mean = NaN, moment } = expectedAfter(record, { place, knownAt: start + knownDay * DAY_MS });
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
        },
      ),
      { numRuns: 150 },
    );
  });

  it("grows with what the record shows", () => {
    const place = places[0] ?? 0;
    const at = { place, knownAt: start + 800 * DAY_MS };
    const quiet = expectedAfter(recordOf([100], place), at).mean ?? NaN;
    const busy = expectedAfter(recordOf([100, 640, 680, 720, 760, 790], place), at).mean ?? NaN;
    expect(busy).toBeGreaterThan(3 * quiet);
  });
});
