import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Cause, causes } from "@/lib/analyse/modes/cause";
import type { CauseShare } from "@/lib/analyse/modes/mode-model";
import { type PreventiveTask, preventiveTasks } from "@/lib/rank/effects";
import { expectedEffect } from "@/lib/rank/expected-effect";
import { learnEffects } from "@/lib/rank/learned-effects";
import { defaultSettings } from "@/lib/settings/settings";

const learned = learnEffects([], defaultSettings());
const effectOf = (task: PreventiveTask) => (cause: Cause) => learned.of(task, "fault", cause);
const belief = fc
  .array(fc.double({ min: 0.001, max: 1, noNaN: true }), { minLength: causes.length, maxLength: causes.length })
  .map((weights) => {
    const total = weights.reduce((sum, one) => sum + one, 0);
    return causes.map((cause, index) => ({ cause, value: (weights[index] ?? 0) / total }));
  });
const costs: Readonly<Record<PreventiveTask, number>> = {
  clean: 14_000,
  realign: 18_500,
  survey: 31_500,
  repair: 35_500,
  replace: 129_500,
};
const bestBenefit = (among: readonly CauseShare[], money: number) =>
  Math.max(...preventiveTasks.map((task) => money * expectedEffect(among, effectOf(task)).share - costs[task]));

describe("the expected effect of a task on a cause in doubt", () => {
  it("is the mean over the causes, with the doubt between them in its spread", () => {
    // 0.6 x 0.7 + 0.4 x 0.1 = 0.46; mean square 0.6 x (0.49 + 0.01) + 0.4 x 0.01 = 0.304; variance 0.304 - 0.2116.
    const found = expectedEffect(
      [
        { cause: "soiling", value: 0.6 },
        { cause: "low sun", value: 0.4 },
      ],
      (cause) => (cause === "soiling" ? { share: 0.7, sd: 0.1 } : { share: 0.1, sd: 0 }),
    );
    expect(found.share).toBeCloseTo(0.46, 12);
    expect(found.sd).toBeCloseTo(Math.sqrt(0.0924), 12);
    expect(found.relativeSd).toBeCloseTo(Math.sqrt(0.0924) / 0.46, 12);
  });

  it("of no cause at all is nothing, and a negative probability is refused", () => {
    expect(expectedEffect([], effectOf("clean"))).toEqual({ share: 0, sd: 0, relativeSd: 0 });
    expect(() => expectedEffect([{ cause: "soiling", value: -0.1 }], effectOf("clean"))).toThrow(RangeError);
  });

  it("never makes knowing more of the cause worth less: the best benefit of a mix is at most the mix of the best", () => {
    fc.assert(
      fc.property(
        belief,
        belief,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1e6, noNaN: true }),
        (one, other, weight, money) => {
          const mix = one.map(({ cause, value }, index) => ({
            cause,
            value: weight * value + (1 - weight) * (other[index]?.value ?? 0),
          }));
          const told = weight * bestBenefit(one, money) + (1 - weight) * bestBenefit(other, money);
          expect(told).toBeGreaterThanOrEqual(bestBenefit(mix, money) - 1e-6);
        },
      ),
    );
  });
});
