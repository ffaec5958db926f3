import { describe, expect, it } from "vitest";
import type { Threat } from "@/lib/analyse/findings/kind";
import { skiesOnce } from "@/lib/analyse/sun-views";
import { causeTemplates, templateIntegral, yearWeights } from "@/lib/analyse/templates";
import { YEAR_BINS } from "@/lib/analyse/year-grid";
import { at, makeDetector, makeSite } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const london = makeSite({ siteId: "L" });
const sydney = makeSite({ siteId: "A", latitude: -33.9, longitude: 151.2, timeZone: "Australia/Sydney" });
const singapore = makeSite({ siteId: "T", latitude: 1.35, longitude: 103.8, timeZone: "Asia/Singapore" });
const detector = makeDetector({ bearingDeg: 102 });
const even = new Array<number>(24).fill(1);

function templateOf(cause: Threat) {
  const found = causeTemplates.find((template) => template.cause === cause);
  if (!found) throw new Error(`no template of ${cause}`);
  return found;
}

describe("the windows of the causes", () => {
  it.each([
    // Ten in the evening of a January day in Sydney is summer night; the same date in London is not.
    ["insects", sydney, "2025-01-10T11:00Z", 1],
    ["insects", london, "2025-01-10T22:00Z", 0],
    ["insects", london, "2025-07-10T21:00Z", 1],
    ["cold or steam mornings", london, "2025-01-10T06:00Z", 1],
    ["cold or steam mornings", sydney, "2025-01-09T19:00Z", 0],
    ["cold or steam mornings", sydney, "2025-07-09T20:00Z", 1],
    // The tropics have no cold half year: the hours alone tell.
    ["cold or steam mornings", singapore, "2025-07-09T22:00Z", 1],
    // Peak stock follows the trade's calendar on both halves of the earth.
    ["seasonal stock", sydney, "2025-11-10T01:00Z", 1],
    ["seasonal stock", london, "2025-11-10T10:00Z", 1],
    ["seasonal stock", london, "2025-11-10T22:00Z", 0],
  ] as const)("%s at %o, %s: %d", (cause, site, moment, weight) => {
    expect(templateOf(cause).weightAt(at(moment), { detector, site })).toBe(weight);
  });

  it("agree with their grids, the sun's but for the edges of its window", () => {
    const skies = skiesOnce();
    for (const { cause, weightAt, gridOf } of causeTemplates) {
      for (const site of [london, sydney]) {
        const where = { detector, site };
        let inside = 0;
        for (let moment = at("2025-01-01"); moment < at("2026-01-01"); moment += 3_600_000 / 2) {
          inside += weightAt(moment, where);
        }
        const grid = gridOf(where, skies);
        const share = grid.reduce((sum, weight) => sum + weight, 0) / grid.length;
        expect(share, `${cause} ${site.siteId}`).toBeCloseTo(inside / (365 * 48), 2);
      }
    }
  });

  it("the sun of a beam that looks the other way is another's", () => {
    const east = at("2025-03-20T07:05Z");
    expect(templateOf("low sun").weightAt(east, { detector, site: london })).toBe(1);
    expect(templateOf("low sun").weightAt(east, { detector: makeDetector({ bearingDeg: 282 }), site: london })).toBe(0);
    const either = makeDetector({ bearingDeg: 282, form: "end_to_end" });
    expect(templateOf("low sun").weightAt(east, { detector: either, site: london })).toBe(1);
  });
});

describe("time inside a window", () => {
  it("of the peak weeks is fourteen hours of each of their days", () => {
    const grid = templateOf("seasonal stock").gridOf({ detector, site: london }, skiesOnce());
    const integral = templateIntegral(yearWeights(grid, even));
    expect(integral(at("2024-11-01"), at("2024-11-11")) / DAY_MS).toBeCloseTo((10 * 14) / 24, 6);
    expect(integral(at("2024-05-01"), at("2024-06-01"))).toBe(0);
    // 18 of 73 parts of the year lie whole in its last quarter, and the part over its edge does by its middle.
    const parts = Array.from({ length: YEAR_BINS }, (_, bin) => (bin + 0.5) / YEAR_BINS >= 0.75).filter(Boolean).length;
    expect(integral(at("2022-01-01"), at("2026-01-01")) / DAY_MS / 1461).toBeCloseTo(
      (parts / YEAR_BINS) * (14 / 24),
      6,
    );
  });

  it("counts hours by how alarms spread over the day", () => {
    const grid = templateOf("seasonal stock").gridOf({ detector, site: london }, skiesOnce());
    const nightsOnly = Array.from({ length: 24 }, (_, hour) => (hour < 6 ? 4 : 0));
    expect(Math.max(...yearWeights(grid, nightsOnly))).toBe(0);
  });
});
