import { describe, expect, it } from "vitest";
import { trendDispersion } from "@/lib/analyse/dispersion";
import { type Chance, seededChance } from "@/lib/kernel/chance";
import { benjaminiHochberg } from "@/lib/statistics/benjamini-hochberg";
import { risingEvidence } from "@/lib/statistics/rising-evidence";
import { risingRatioLimits } from "@/lib/statistics/rising-ratio";
import { laplaceTest } from "@/lib/statistics/trend";

const WINDOWS = [2 / 3, 5 / 6];
const LIMIT = 0.05;

function uniformTimes(chance: Chance, n: number): number[] {
  return Array.from({ length: n }, () => chance());
}

describe("size of the rising test given the number of events", () => {
  it.each([3, 4, 5, 6, 8, 12, 20, 40])("n = %i: no more than stated at 5, 1 and .1 %%", (n) => {
    const runs = 6000;
    const chance = seededChance(`rising size ${n}`);
    const counts = { five: 0, one: 0, tenth: 0 };
    for (let run = 0; run < runs; run += 1) {
      const { rising } = risingEvidence(uniformTimes(chance, n), { windows: WINDOWS });
      counts.five += rising <= 0.05 ? 1 : 0;
      counts.one += rising <= 0.01 ? 1 : 0;
      counts.tenth += rising <= 0.001 ? 1 : 0;
    }
    console.info(`n ${n}`, counts.five / runs, counts.one / runs, counts.tenth / runs);
    // Mid-p and combination may pass the limit a little; four standard errors of a count come on top.
    const most = (level: number) => 1.15 * level * runs + 4 * Math.sqrt(level * runs);
    expect(counts.five).toBeLessThanOrEqual(most(0.05));
    expect(counts.one).toBeLessThanOrEqual(most(0.01));
    expect(counts.tenth).toBeLessThanOrEqual(most(0.001));
    expect(counts.five).toBeGreaterThan(0.03 * runs);
  });
});

describe("interval and p-value", () => {
  it("say the same: the lower limit is above 1 exactly where p is below 2.5 %", () => {
    const chance = seededChance("rising interval");
    let clear = 0;
    for (let run = 0; run < 400; run += 1) {
      const times = uniformTimes(chance, 3 + (run % 15)).map((time) => (run % 2 === 0 ? time : time ** 0.35));
      const seen = { windows: WINDOWS, dispersion: run % 3 === 0 ? 1.5 : 1 };
      const { rising } = risingEvidence(times, seen);
      const { low } = risingRatioLimits(times, seen);
      // Within a thousandth of the border the search for the limit may end on either side.
      if (Math.abs(rising - 0.025) < 2.5e-5) continue;
      clear += rising < 0.025 ? 1 : 0;
      expect(low > 1, `p ${rising}, low ${low}`).toBe(rising < 0.025);
    }
    expect(clear).toBeGreaterThan(40);
  });
});

/** A fleet's operational times: unequal rates, some with bad spells, some rising, some that fell when repaired. */
function fleetTimes(
  seed: string,
  { rising = 0, repaired = 0, spells = 1 }: { rising?: number; repaired?: number; spells?: number },
) {
  const chance = seededChance(seed);
  return Array.from({ length: 400 }, (_, index) => {
    const rises = index < rising;
    const falls = !rises && index < rising + repaired;
    const mean = 5 * -Math.log(1 - chance());
    const spell = chance();
    const rate = (u: number) => {
      const course = rises ? (u > 2 / 3 ? 6 : 0.5) : falls ? (u > 0.5 ? 0.1 : 1.9) : 1;
      return course * (Math.abs(u - spell) < 1 / 44 ? spells : 1);
    };
    const most = 6 * spells;
    const times: number[] = [];
    for (let u = 0; ; ) {
      u += -Math.log(1 - chance()) / (mean * most);
      if (u >= 1) break;
      if (chance() < rate(u) / most) times.push(u);
    }
    return { rises, times };
  }).filter(({ times }) => times.length >= 3);
}

function listedOf(fleet: readonly { readonly rises: boolean; readonly times: readonly number[] }[]) {
  const dispersionAt = trendDispersion(
    fleet.map(({ times }) => ({ z: laplaceTest(times).z ?? 0, n: times.length, times })),
    1,
  );
  const ps = fleet.map(
    ({ times }) => risingEvidence(times, { windows: WINDOWS, dispersion: dispersionAt(times.length) }).rising,
  );
  const qs = benjaminiHochberg(ps);
  const listed = fleet.filter((_, index) => (qs[index] ?? 1) <= LIMIT);
  return {
    right: listed.filter(({ rises }) => rises).length,
    wrong: listed.filter(({ rises }) => !rises).length,
    guard: dispersionAt(5),
  };
}

function measured(name: string, options: Parameters<typeof fleetTimes>[1], fleets = 20) {
  const all = Array.from({ length: fleets }, (_, index) => listedOf(fleetTimes(`${name} ${index}`, options)));
  const sum = (key: "right" | "wrong" | "guard") => all.reduce((total, one) => total + one[key], 0);
  const speaking = all.filter(({ wrong }) => wrong > 0).length;
  console.info(name, { right: sum("right"), wrong: sum("wrong"), speaking, guard: sum("guard") / fleets });
  return { right: sum("right"), wrong: sum("wrong"), speaking };
}

describe("false discovery of the guarded test over 20 fleets of 400", () => {
  it("nothing rises: few fleets with a detector listed", () => {
    // 5 % of 20 fleets is 1; four or more have a chance of 1.6 %.
    expect(measured("even", {}).speaking).toBeLessThanOrEqual(3);
  });

  it("every detector has one hidden bad spell of 50 days at six times its rate: still few", () => {
    expect(measured("spells", { spells: 6 }).speaking).toBeLessThanOrEqual(4);
  });

  it("repairs that helped do not blunt the test: risen detectors are found as without them", () => {
    const alone = measured("risen", { rising: 30 });
    const beside = measured("risen and repaired", { rising: 30, repaired: 60 });
    expect(alone.wrong / Math.max(1, alone.right + alone.wrong)).toBeLessThanOrEqual(0.08);
    expect(beside.wrong / Math.max(1, beside.right + beside.wrong)).toBeLessThanOrEqual(0.08);
    expect(beside.right).toBeGreaterThan(0.8 * alone.right);
  });
});
