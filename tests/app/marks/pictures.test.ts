import { describe, expect, it } from "vitest";
import { DriftFan } from "@/app/_parts/marks/drift-fan";
import { HoldBars } from "@/app/_parts/marks/hold-bars";
import { RateSteps } from "@/app/_parts/marks/rate-steps";
import { SeasonRose } from "@/app/_parts/marks/season-rose";
import { seededChance } from "@/lib/kernel/chance";
import { makeDrift, makeHold, makeRate, makeRose } from "@/tests/fixtures/findings";
import { attributes, drawn, format, wordsOf } from "./render";

const asOf = Date.UTC(2026, 6, 1);

describe("the season rose", () => {
  it("says the peak, the window and the sun in words", () => {
    const { description, named } = wordsOf(drawn(SeasonRose, { picture: makeRose(), format }));
    expect(named).toBe(true);
    expect(description).toContain("9 clusters of alarms");
    // Third of twelve bins: it starts at 2/12 of 365 days, on 2 March; 5 alarms in 90 days are 5.6 per 100.
    expect(description).toContain("Highest from 2 March: 5.6 per 100 days observed");
    expect(description).toContain("The window of the finding runs from");
    expect(description).toContain("sun");
  });

  it("does not speak of a window or of sun where there is none", () => {
    const markup = drawn(SeasonRose, { picture: { ...makeRose(), window: null, sunArcs: [] }, format });
    expect(markup).not.toContain("window");
    expect(markup).not.toContain("sun");
  });

  it("draws a ring for each cluster of alarms", () => {
    const rings = attributes(drawn(SeasonRose, { picture: makeRose(), format }), { element: "circle", attribute: "r" });
    expect(rings.filter((r) => r === "2.5")).toHaveLength(9);
  });

  it("draws a circle without any alarm at all", () => {
    const bins = Array.from({ length: 12 }, () => ({ events: 0, exposureDays: 30, rate: 0 }));
    expect(drawn(SeasonRose, { picture: { ...makeRose(), bins, marks: [] }, format })).not.toContain("NaN");
  });
});

describe("the hold bars", () => {
  it("are as long as each alignment held, on one scale with the fleet's median", () => {
    const markup = drawn(HoldBars, { picture: makeHold(), format });
    const widths = attributes(markup, { element: "rect", attribute: "width" }).map((width) => Number.parseFloat(width));
    expect(widths).toHaveLength(5);
    // 210 and 96 days held: their ratio is kept.
    expect(widths[0]! / widths[1]!).toBeCloseTo(210 / 96, 2);
  });

  it("say how many ended in a reactive realignment", () => {
    const { description } = wordsOf(drawn(HoldBars, { picture: makeHold(), format }));
    expect(description).toContain("5 alignments, 3 ended in a reactive realignment");
    expect(description).toContain("longer than 412 days");
  });

  it("do without a fleet to compare with", () => {
    const markup = drawn(HoldBars, { picture: { ...makeHold(), fleetMedianDays: null }, format });
    expect(markup).not.toContain("half of the fleet holds 0");
    expect(markup).not.toContain("NaN");
  });
});

describe("the drift fan", () => {
  it("says where the signal stands, where it is going and what the limit is", () => {
    const { description } = wordsOf(drawn(DriftFan, { picture: makeDrift(asOf), asOf, format }));
    expect(description).toContain("over 78 weeks");
    expect(description).toContain("The limit is 60 %");
    expect(description).toContain("swings by 6 % with temperature");
  });

  it("draws each weekly point, a line for each stretch between services, and the work inside its time", () => {
    const work = [
      { at: asOf - 100 * 86_400_000, label: "Clean" },
      { at: asOf - 5000 * 86_400_000, label: "Too old" },
    ];
    const markup = drawn(DriftFan, { picture: makeDrift(asOf), asOf, format, work });
    expect(attributes(markup, { element: "circle", attribute: "cx" })).toHaveLength(78);
    expect(markup).toContain("Clean");
    expect(markup).not.toContain("Too old");
  });

  it("draws nothing outside its frame and no missing number without readings", () => {
    const empty = { ...makeDrift(asOf), points: [], lines: [], forecast: [] };
    const markup = drawn(DriftFan, { picture: empty, asOf, format });
    expect(markup).not.toContain("NaN");
    expect(wordsOf(markup).description).toContain("No readings");
  });
});

describe("the rate steps", () => {
  const picture = makeRate(seededChance("rates"));

  it("draw a column for each month observed, and none where nothing was observed", () => {
    const markup = drawn(RateSteps, { picture, format });
    const columns = attributes(markup, { element: "rect", attribute: "fill" }).filter((fill) => fill === "var(--ink)");
    expect(columns).toHaveLength(picture.months.filter(({ exposureDays }) => exposureDays > 0).length);
  });

  it("say both rates with their intervals, and that one has no upper limit", () => {
    const { description } = wordsOf(drawn(RateSteps, { picture, format }));
    expect(description).toContain("0.31 in 30 days observed (0.12 to 0.66)");
    expect(description).toContain("1.3 in 30 days observed (0.6 without upper limit)");
  });
});
