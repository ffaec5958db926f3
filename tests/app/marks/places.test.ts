import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { costStep } from "@/app/_parts/marks/cost-ink";
import { labelsOf } from "@/app/_parts/marks/map-labels";
import { type MapSite, PANEL, panelsOf, projectionOf } from "@/app/_parts/marks/map-panels";
import { type RoofBeam, roofLayoutOf } from "@/app/_parts/marks/roof-layout";
import { SiteMap } from "@/app/_parts/marks/site-map";
import { TrendLine } from "@/app/_parts/marks/trend-line";
import { drawn, format, wordsOf } from "./render";

const site = (siteId: string, latitude: number, longitude: number, expectedCost = 100): MapSite => ({
  siteId,
  name: `Site ${siteId}`,
  latitude,
  longitude,
  expectedCost,
});

describe("the map of sites", () => {
  it("gives two far countries a panel each, the one with more sites first", () => {
    const panels = panelsOf([site("a", 41, -8), site("b", 61, 24), site("c", 62, 25), site("d", 60, 22)]);
    expect(panels.map((panel) => panel.length)).toEqual([3, 1]);
  });

  it("keeps every site once, inside its panel", () => {
    const place = fc.record({
      latitude: fc.double({ min: -60, max: 70, noNaN: true }),
      longitude: fc.double({ min: -175, max: 175, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(place, { minLength: 1, maxLength: 20 }), (places) => {
        const sites = places.map(({ latitude, longitude }, index) => site(String(index), latitude, longitude));
        const panels = panelsOf(sites);
        expect(
          panels
            .flat()
            .map(({ siteId }) => Number(siteId))
            .sort((a, b) => a - b),
        ).toEqual(sites.map((_, i) => i));
        for (const panel of panels) {
          const projection = projectionOf(panel);
          for (const { latitude, longitude } of panel) {
            const [x, y] = projection([longitude, latitude]) ?? [-1, -1];
            expect(x >= 0 && x <= PANEL.width && y >= 0 && y <= PANEL.height).toBe(true);
          }
        }
      }),
      { numRuns: 50 },
    );
  });

  it("names the dearest sites in words and lists all of them with their cost", () => {
    const sites = [site("cheap", 61, 24, 1_000), site("dear", 61.5, 24.5, 500_000)];
    const markup = drawn(SiteMap, { sites, format });
    expect(wordsOf(markup).description).toContain("Dearest: Site dear €5,000");
    expect(markup.match(/href="\/sites\//g)).toHaveLength(2);
  });

  it("lets no name cover another", () => {
    const dots = Array.from({ length: 12 }, (_, index) => ({
      id: String(index),
      name: "A name of some length",
      x: 200 + index,
      y: 200,
      radius: 6,
    }));
    expect(labelsOf(dots, new Set(dots.map(({ id }) => id))).length).toBeLessThanOrEqual(2);
  });
});

describe("the roof plan", () => {
  const beam = fc.record({
    bearingDeg: fc.double({ min: 0, max: 359, noNaN: true }),
    pathLengthM: fc.double({ min: 5, max: 100, noNaN: true }),
  });
  const made = (parts: readonly { bearingDeg: number; pathLengthM: number }[]): RoofBeam[] =>
    parts.map((part, index) => ({
      ...part,
      detectorId: String(index),
      label: `Bay ${index}`,
      form: "reflective",
      latestSignalPct: 90,
      expectedCost: 0,
    }));

  it("keeps length and bearing true, and every beam once inside its frame", () => {
    fc.assert(
      fc.property(fc.array(beam, { minLength: 1, maxLength: 15 }), (parts) => {
        const { beams, widthM, heightM } = roofLayoutOf(made(parts));
        expect(beams).toHaveLength(parts.length);
        for (const { beam: placed, head, far } of beams) {
          const [east, south] = [far.x - head.x, far.y - head.y];
          expect(Math.hypot(east, south)).toBeCloseTo(placed.pathLengthM, 6);
          const turned = (Math.atan2(east, -south) * 180) / Math.PI - placed.bearingDeg;
          expect(Math.cos((turned * Math.PI) / 180)).toBeCloseTo(1, 6);
          for (const { x, y } of [head, far]) expect(x >= 0 && x <= widthM && y >= 0 && y <= heightM).toBe(true);
        }
      }),
    );
  });

  it("draws an empty roof for a site without detectors", () => {
    expect(roofLayoutOf([])).toMatchObject({ beams: [] });
  });
});

describe("the cost scale", () => {
  it("runs from 1 to 5 up to the highest cost, and is 1 where nothing costs anything", () => {
    expect([0, 20, 21, 80, 100].map((cost) => costStep(cost, 100))).toEqual([1, 1, 2, 4, 5]);
    expect(costStep(0, 0)).toBe(1);
  });
});

describe("the small line of months", () => {
  it("breaks where a month cannot be said, and says first, last, highest and the limit", () => {
    const points = [
      { month: "2026-01", value: 2 },
      { month: "2026-02", value: null },
      { month: "2026-03", value: 6 },
      { month: "2026-04", value: 3 },
    ];
    const markup = drawn(TrendLine, { title: "Rate", points, limit: 4, write: String, format });
    expect(wordsOf(markup).description).toBe(
      "From 2 in January 2026 to 3 in April 2026, at most 6 in March 2026. The limit is 4.",
    );
    expect(markup).toMatch(/d="M[^"L]+M[^"]+L/);
  });

  it("says so when there is no month to show", () => {
    const markup = drawn(TrendLine, { title: "Rate", points: [], write: String, format });
    expect(wordsOf(markup).description).toBe("No month can be shown.");
  });
});
