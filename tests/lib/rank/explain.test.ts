import { describe, expect, it } from "vitest";
import { explain } from "@/lib/rank/explain";
import type { ProposedVisit } from "@/lib/rank/result";
import { defaultSettings } from "@/lib/settings/settings";

const settings = defaultSettings();

function visit(task: ProposedVisit["task"], { avoided, reach = 24_000 }: { avoided: number; reach?: number }) {
  const cost = settings.travelPerVisit + reach + 9_000;
  return {
    task,
    cost,
    avoidedCost: { mean: avoided, low: 0, high: 2 * avoided },
    netBenefit: avoided - cost,
    cause: null,
    reason: "",
    costLines: [
      { label: "Travel", minor: settings.travelPerVisit },
      { label: "Scissor lift", minor: reach },
      { label: "Task", minor: 9_000 },
    ],
    avoidedLines: [
      { label: "Faults prevented", minor: avoided * 0.75 },
      { label: "Unwanted alarms prevented", minor: avoided * 0.25 },
    ],
  } satisfies ProposedVisit;
}

const realign = visit("realign", { avoided: 100_000 });
const clean = visit("clean", { avoided: 20_000 });
const explained = explain({
  visit: realign,
  visits: [clean, realign],
  moved: [
    { kind: "fault", sentence: "12 faults in the last 12 months", events: 2.4 },
    { kind: "alarm", sentence: "no alarm on record", events: -0.05 },
    { kind: "fault", sentence: "nothing worth a line", events: 0 },
    { kind: "fault", sentence: "signal steady", events: -0.2 },
  ],
  expected: { fault: 3, alarm: 0.1 },
  settings,
});

describe("what moves a detector's net benefit", () => {
  it("is stated in money: events times what the proposed task saves of one, and the reach in full, largest first", () => {
    // 75,000 avoided on 3 expected faults is 25,000 a fault; 25,000 on 0.1 alarms is 250,000 an alarm.
    expect(explained.facts).toEqual([
      { sentence: "12 faults in the last 12 months", minor: 60_000 },
      { sentence: "reaching it takes a scissor lift", minor: -24_000 },
      { sentence: "no alarm on record", minor: -12_500 },
    ]);
  });

  it("leaves out what costs nothing, such as a ladder", () => {
    const ladder = visit("clean", { avoided: 0, reach: 0 });
    const { facts, timesToPay } = explain({
      visit: ladder,
      visits: [ladder],
      moved: [],
      expected: { fault: 0, alarm: 0 },
      settings,
    });
    expect(facts).toEqual([]);
    expect(timesToPay).toBeNull();
  });
});

describe("the tasks of a detector", () => {
  it("stand side by side, best first, with what they bring when travel and reach are paid by another visit", () => {
    expect(explained.tasks.map(({ task }) => task)).toEqual(["realign", "clean"]);
    expect(explained.tasks[1]).toMatchObject({ netBenefit: -22_500, netOnSite: 11_000 });
  });

  it("say how many times the expected events would make the visit pay", () => {
    expect(explained.timesToPay).toBeCloseTo(0.425, 12);
  });
});
