import { describe, expect, it } from "vitest";
import { driftModels } from "@/lib/analyse/drift/model";
import { signalCauses } from "@/lib/analyse/drift/signal-causes";
import { seededChance } from "@/lib/kernel/chance";
import { AS_OF, type Beam, DAYS, historiesOf, temperatureC } from "@/tests/lib/analyse/drift/beams";

const cleanDays = [200, 450, 700, 950];
const cleanings = cleanDays.map((day) => ({ task: "clean" as const, day }));
const since = (day: number, days: readonly number[]) => day - (days.findLast((one) => one <= day) ?? 0);
const quiet: Beam[] = Array.from({ length: 12 }, () => ({ db: () => 0.05 }));

/** Causes of one beam among a dozen that have none. */
function causesOf(beam: Beam) {
  const models = driftModels(historiesOf([beam, ...quiet]), { asOf: AS_OF, horizonDays: 90 });
  const model = models.get("D000");
  return model ? signalCauses(model) : [];
}

/** Level of a mount that jumps now and then and is set right by each realignment. */
function looseMount(realigned: readonly number[]): (day: number) => number {
  const chance = seededChance("mount");
  let level = 0;
  const levels = Array.from({ length: DAYS + 1 }, (_, day) => {
    if (realigned.includes(day)) level = 0;
    // A jump of 0.3 dB on average, every 25 days on average.
    if (chance() < 0.04) level -= 0.3 * Math.log(1 - chance());
    return level;
  });
  return (day) => levels[day] ?? 0;
}

describe("what the readings hold against each cause", () => {
  it.each<[string, Beam, string]>([
    ["a fall that each cleaning mends", { db: (day) => 0.003 * since(day, cleanDays), work: cleanings }, "soiling"],
    ["the same fall that no cleaning mends", { db: (day) => 0.0012 * day, work: cleanings }, "ageing"],
    [
      "a beam that follows the heat",
      { db: (day) => 0.06 * Math.abs((temperatureC[day] ?? 14) - 14), temperature: true },
      "thermal movement",
    ],
    ["a step that still stands", { db: (day) => (day < DAYS - 60 ? 0.05 : 1) }, "knocked out of line"],
    [
      "a knock at a visit that cleaned",
      { db: (day) => (day < 450 ? 0.05 : 1), work: cleanings },
      "knocked out of line",
    ],
    [
      "a fall of which cleanings mend less than half",
      { db: (day) => 0.0008 * since(day, cleanDays) + 0.0012 * day, work: cleanings },
      "ageing",
    ],
    [
      "jumps from week to week that realignment mends for a while",
      {
        db: looseMount([150, 300, 450, 600, 750, 900]),
        work: [150, 300, 450, 600, 750, 900].map((day) => ({ task: "realign", day })),
      },
      "mount that will not hold",
    ],
    [
      "compensation that is used up",
      { db: () => 0.05, compensation: (day) => Math.min(100, 40 + 0.06 * day) },
      "compensation at its limit",
    ],
  ])("%s: %s comes first", (_, beam, cause) => {
    const causes = causesOf(beam);
    expect(causes.reduce((sum, { weight }) => sum + weight, 0)).toBeLessThanOrEqual(1 + 1e-9);
    const names = causes.map((one) => one.cause);
    // Dirt is behind compensation that is used up, and may be named before it.
    if (cause === "compensation at its limit") expect(names.slice(0, 2)).toContain(cause);
    else expect(names[0]).toBe(cause);
  });

  it("a quiet beam leaves nearly all of the weight to nothing the signal shows", () => {
    const sum = causesOf({ db: () => 0.05 }).reduce((total, { weight }) => total + weight, 0);
    expect(sum).toBeLessThan(0.25);
  });

  it("a knock that a realignment has mended is no cause any more", () => {
    const mended = {
      db: (day: number) => (day >= 500 && day < 600 ? 1 : 0.05),
      work: [{ task: "realign" as const, day: 600 }],
    };
    expect(causesOf(mended).map(({ cause }) => cause)).not.toContain("knocked out of line");
  });
});
