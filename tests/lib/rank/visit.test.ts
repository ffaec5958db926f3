import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { ModeOutlook } from "@/lib/analyse/forecast/detector-forecast";
import { preventiveTasks } from "@/lib/rank/effects";
import { type LearnedEffects, learnEffects } from "@/lib/rank/learned-effects";
import { bestVisit, visitFor, visitsFor } from "@/lib/rank/visit";
import { accessKinds } from "@/lib/records/vocabulary";
import { defaultSettings } from "@/lib/settings/settings";

const settings = defaultSettings();
/** A fleet whose own visits say nothing: every effect is the stated one. */
const learned = learnEffects([], settings);
const mode = (changes: Partial<ModeOutlook>): ModeOutlook => ({
  kind: "alarm",
  mean: 1.2,
  variance: 1.5,
  cause: "insects",
  ...changes,
});

describe("a visit for one task", () => {
  it("agrees with the worked example of the methods page", () => {
    // 0.9 x 0.7 + 0.1 x 0.03 = 0.633 of 1.2 alarms at 190,000 are 144,324; travel 9,500 and cleaning 4,500 from a ladder.
    const modes = [mode({ mean: 1.08, variance: 1.35 }), mode({ cause: "unknown", mean: 0.12, variance: 0.15 })];
    const visit = visitFor("clean", { access: "ladder", modes, learned, settings });
    expect(visit.cause).toEqual({ name: "insects", probability: expect.closeTo(0.9, 12) });
    expect(visit.reason).toBe(
      "Cleaning is expected to prevent 63 % of 1.2 unwanted alarms; the likeliest cause is insects (90 %).",
    );
    expect(visit.avoidedCost.mean).toBeCloseTo(144_324, 6);
    expect(visit.cost).toBe(14_000);
    expect(visit.netBenefit).toBeCloseTo(130_324, 6);
  });

  it("costs travel, access and task, for every access and task", () => {
    const reach = {
      ladder: settings.accessLadder,
      tower: settings.accessTower,
      scissor_lift: settings.accessScissorLift,
      boom_lift: settings.accessBoomLift,
    };
    const work = {
      clean: settings.taskClean,
      realign: settings.taskRealign,
      repair: settings.taskRepair,
      replace: settings.taskReplace,
      survey: settings.taskSurvey,
    };
    for (const access of accessKinds) {
      for (const task of preventiveTasks) {
        const { cost } = visitFor(task, { access, modes: [], learned, settings });
        expect(cost).toBe(settings.travelPerVisit + reach[access] + work[task]);
      }
    }
  });

  it.each([
    ["perFaultEpisode", "fault"],
    ["perUnwantedAlarm", "alarm"],
  ] as const)(
    "doubling %s doubles what it avoids of that event, mean and interval, and leaves the cost",
    (key, kind) => {
      const doubled = { ...settings, [key]: 2 * settings[key] };
      const other = kind === "fault" ? "alarm" : "fault";
      fc.assert(
        fc.property(
          fc.double({ min: 0.01, max: 20, noNaN: true }),
          fc.constantFrom(...preventiveTasks),
          (mean, task) => {
            const choice = { access: "tower", modes: [mode({ kind, mean, variance: 2 * mean })], learned } as const;
            const once = visitFor(task, { ...choice, settings });
            const twice = visitFor(task, { ...choice, settings: doubled });
            for (const end of ["mean", "low", "high"] as const) {
              expect(twice.avoidedCost[end]).toBeCloseTo(2 * once.avoidedCost[end], 4);
            }
            expect(twice.cost).toBe(once.cost);
            const untouched = { ...choice, modes: [mode({ kind: other, mean, variance: 2 * mean })] };
            expect(visitFor(task, { ...untouched, settings: doubled })).toEqual(
              visitFor(task, { ...untouched, settings }),
            );
          },
        ),
      );
    },
  );

  it("never prevents more than 95 of 100 events, whatever the fleet's visits taught", () => {
    const wonderful: LearnedEffects = { ...learned, of: (...cell) => ({ ...learned.of(...cell), share: 0.95, sd: 0 }) };
    const { avoidedCost } = visitFor("clean", { access: "ladder", modes: [mode({})], learned: wonderful, settings });
    expect(avoidedCost.mean).toBeCloseTo(0.95 * 1.2 * settings.perUnwantedAlarm, 4);
  });
});

describe("the best visit", () => {
  it("has the largest net benefit of all tasks, and fits the cause where events cost enough", () => {
    const choice = { access: "ladder", modes: [mode({ mean: 3, variance: 4 })], learned, settings } as const;
    const best = bestVisit(visitsFor(choice));
    for (const task of preventiveTasks) {
      expect(best.netBenefit).toBeGreaterThanOrEqual(visitFor(task, choice).netBenefit);
    }
    expect(best.task).toBe("clean");
    expect(
      bestVisit(visitsFor({ ...choice, modes: [mode({ cause: "mount that will not hold", mean: 3 })] })).task,
    ).toBe("survey");
  });

  it("of nothing to prevent is the cheapest visit, with a benefit of minus its cost and the reason said", () => {
    const visit = bestVisit(
      visitsFor({ access: "ladder", modes: [mode({ mean: 0, variance: 0 })], learned, settings }),
    );
    expect(visit).toMatchObject({
      task: "clean",
      netBenefit: -14_000,
      avoidedCost: { mean: 0, low: 0, high: 0 },
      reason: "Nothing is expected that a visit could prevent.",
    });
  });
});
