import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  attenuationDb,
  attenuationOfObscuration,
  obscurationPctOf,
  obscurationPctPerMetre,
  opticalDensityOf,
  signalPctOf,
} from "@/lib/kernel/units";

// Oracle of all numbers here: EN 54-12 definition of attenuation, A = 10 log10(P0 / P), from memory; numbers computed
// from it by hand and rounded as printed.
const ofObscuration = [
  { obscurationPct: 5, transmittancePct: 95, db: 0.223, density: 0.0223 },
  { obscurationPct: 10, transmittancePct: 90, db: 0.458, density: 0.0458 },
  { obscurationPct: 20, transmittancePct: 80, db: 0.969, density: 0.0969 },
  { obscurationPct: 25, transmittancePct: 75, db: 1.249, density: 0.1249 },
  { obscurationPct: 35, transmittancePct: 65, db: 1.871, density: 0.1871 },
  { obscurationPct: 50, transmittancePct: 50, db: 3.01, density: 0.301 },
  { obscurationPct: 60, transmittancePct: 40, db: 3.979, density: 0.3979 },
  { obscurationPct: 85, transmittancePct: 15, db: 8.239, density: 0.8239 },
  { obscurationPct: 95, transmittancePct: 5, db: 13.01, density: 1.301 },
] as const;

const ofDecibels = [
  [0.1, 2.28],
  [0.5, 10.87],
  [1, 20.57],
  [1.5, 29.21],
  [1.87, 34.99],
  [3, 49.88],
  [6, 74.88],
  [10, 90],
  [20, 99],
] as const;

describe("obscuration, transmittance, attenuation and optical density", () => {
  it.each(ofObscuration)("$obscurationPct % obscuration is $db dB and optical density $density", (row) => {
    const db = attenuationOfObscuration(row.obscurationPct);
    expect(db).toBeCloseTo(row.db, 3);
    expect(opticalDensityOf(db)).toBeCloseTo(row.density, 4);
    expect(signalPctOf(db)).toBeCloseTo(row.transmittancePct, 9);
    expect(attenuationDb(row.transmittancePct)).toBeCloseTo(row.db, 3);
  });

  it.each(ofDecibels)("%d dB hide %d %% of the light", (db, obscurationPct) => {
    expect(obscurationPctOf(db)).toBeCloseTo(obscurationPct, 2);
    expect(signalPctOf(db)).toBeCloseTo(100 - obscurationPct, 2);
  });

  it("a signal as left has no attenuation, one above it a negative one, and none at all has no number", () => {
    expect(attenuationDb(100)).toBeCloseTo(0, 12);
    expect(attenuationDb(200)).toBeCloseTo(-3.01, 3);
    expect(attenuationDb(0)).toBeNull();
    expect(attenuationOfObscuration(0)).toBeCloseTo(0, 12);
  });

  it("comes back to the signal and the obscuration it started from", () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 400, noNaN: true }), (signalPct) => {
        expect(signalPctOf(attenuationDb(signalPct) ?? Number.NaN) / signalPct).toBeCloseTo(1, 9);
      }),
    );
    fc.assert(
      fc.property(fc.double({ min: 0, max: 99.9999, noNaN: true }), (obscurationPct) => {
        expect(obscurationPctOf(attenuationOfObscuration(obscurationPct))).toBeCloseTo(obscurationPct, 7);
      }),
    );
  });

  it("attenuations of two losses in line add up, as their transmittances multiply", () => {
    const share = fc.double({ min: 0.01, max: 1, noNaN: true });
    fc.assert(
      fc.property(share, share, (first, second) => {
        const sum = (attenuationDb(100 * first) ?? 0) + (attenuationDb(100 * second) ?? 0);
        expect(sum).toBeCloseTo(attenuationDb(100 * first * second) ?? Number.NaN, 9);
      }),
    );
  });
});

describe("obscuration per metre", () => {
  it.each([
    [10, 4.22, 2],
    [25, 1.71, 2],
    [50, 0.858, 3],
    [70, 0.614, 3],
    [100, 0.43, 3],
  ])("35 %% over %d m is %d %% a metre", (pathLengthM, perMetre, digits) => {
    expect(obscurationPctPerMetre(35, pathLengthM)).toBeCloseTo(perMetre, digits);
  });

  it("spread over the path gives back the whole", () => {
    const path = fc.double({ min: 1, max: 200, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 0, max: 99, noNaN: true }), path, (obscurationPct, pathLengthM) => {
        const perMetre = obscurationPctPerMetre(obscurationPct, pathLengthM);
        expect(100 * (1 - (1 - perMetre / 100) ** pathLengthM)).toBeCloseTo(obscurationPct, 6);
      }),
    );
  });
});

describe("impossible light", () => {
  it.each([-0.1, Number.NaN])("refuses a signal of %d %%", (signalPct) => {
    expect(() => attenuationDb(signalPct)).toThrow(RangeError);
    expect(() => attenuationDb(signalPct)).toThrow(String(signalPct));
  });

  it.each([-1, 100, 101, Number.NaN])("refuses an obscuration of %d %%", (obscurationPct) => {
    expect(() => attenuationOfObscuration(obscurationPct)).toThrow(RangeError);
    expect(() => obscurationPctPerMetre(obscurationPct, 50)).toThrow(RangeError);
  });

  it.each([0, -5, Number.NaN])("refuses a path of %d m", (pathLengthM) => {
    expect(() => obscurationPctPerMetre(35, pathLengthM)).toThrow(RangeError);
  });

  it.each([Infinity, Number.NaN])("refuses an attenuation of %d dB", (db) => {
    expect(() => signalPctOf(db)).toThrow(RangeError);
    expect(() => obscurationPctOf(db)).toThrow(RangeError);
  });
});
