import { describe, expect, it } from "vitest";
import { hashOf, seededChance } from "@/lib/kernel/chance";

const draw = (seed: string | number, n: number) => {
  const chance = seededChance(seed);
  return Array.from({ length: n }, chance);
};

describe("seeded chance", () => {
  it("gives the same numbers for the same seed and others for another", () => {
    expect(draw("a", 5)).toEqual(draw("a", 5));
    expect(draw("a", 5)).not.toEqual(draw("b", 5));
  });

  it("fills the unit interval evenly", () => {
    // Chi-square of 20 cells with 20,000 draws: 99.9 % point with 19 degrees of freedom is 43.82 (tables).
    const cells = new Array<number>(20).fill(0);
    for (const u of draw(7, 20_000)) cells[Math.floor(u * 20)]! += 1;
    expect(cells.reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0)).toBeLessThan(43.82);
  });

  it("sends near seeds to unrelated streams", () => {
    const first = Array.from({ length: 2000 }, (_, i) => draw(`detector-${i}`, 1)[0] ?? 0);
    const mean = first.reduce((sum, u) => sum + u, 0) / first.length;
    // Standard error of the mean of 2,000 uniforms is 0.0065; five of them.
    expect(Math.abs(mean - 0.5)).toBeLessThan(0.033);
    expect(new Set(first.map((u) => Math.floor(u * 1e6))).size).toBeGreaterThan(1990);
  });

  it("hashes to 32 bits", () => {
    expect(hashOf("x")).toBeGreaterThanOrEqual(0);
    expect(hashOf("x")).toBeLessThan(2 ** 32);
  });
});
