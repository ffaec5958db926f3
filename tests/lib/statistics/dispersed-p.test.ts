import { describe, expect, it } from "vitest";
import { dispersedP } from "@/lib/statistics/dispersed-p";

describe("dispersedP", () => {
  it("divides the normal deviate by the root of the dispersion", () => {
    // Normal tails (tables): 0.0227501 beyond 2, 0.1586553 beyond 1.
    expect(dispersedP(0.0227501, 4)).toBeCloseTo(0.1586553, 6);
  });

  it("leaves p as it is without dispersion and above a half", () => {
    expect(dispersedP(0.001, 1)).toBe(0.001);
    expect(dispersedP(0.7, 3)).toBe(0.7);
    expect(dispersedP(0, 2)).toBeGreaterThan(0);
  });
});
