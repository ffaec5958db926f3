import { describe, expect, it } from "vitest";
import { limitCoverage } from "@/lib/analyse/drift/limit-coverage";
import { DAY_MS } from "@/lib/kernel/units";
import { AS_OF, type Beam, DAYS, historiesOf } from "@/tests/lib/analyse/drift/beams";

// At 35 % the limit is 1.871 dB: reached between day 624 and day 780 by falls of 0.0024 to 0.003 dB a day.
const falling: Beam[] = Array.from({ length: 12 }, (_, index) => ({ db: (day) => (0.0024 + 0.00005 * index) * day }));
const day500 = AS_OF - (DAYS - 500) * DAY_MS;

describe("the date of the limit against what came", () => {
  it("lies inside the interval for falls that go on as they did", () => {
    const { predicted, judged, inside } = limitCoverage(historiesOf(falling), [day500]);
    expect(predicted).toBe(12);
    expect(judged).toBe(12);
    expect(inside).toBeGreaterThanOrEqual(9);
  });

  it("is too early where the fall stops and too late where it doubles", () => {
    const stopped = falling.map(({ db }) => ({ db: (day: number) => db(Math.min(day, 500)) }));
    expect(limitCoverage(historiesOf(stopped), [day500])).toMatchObject({ judged: 12, late: 12, inside: 0 });
    const doubled = falling.map(({ db }) => ({ db: (day: number) => db(day) + db(Math.max(0, day - 500)) }));
    expect(limitCoverage(historiesOf(doubled), [day500]).early).toBeGreaterThanOrEqual(10);
  });

  it("is not judged where work comes before the interval is over", () => {
    const cleaned = falling.map((beam) => ({ ...beam, work: [{ task: "clean" as const, day: 540 }] }));
    expect(limitCoverage(historiesOf(cleaned), [day500])).toMatchObject({ predicted: 12, judged: 0, share: null });
  });
});
