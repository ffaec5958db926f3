import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isInSkyWindow, shareInSkyWindow, solarPosition, sunPath } from "@/lib/kernel/sun";

const LONDON = { latitude: 51.5, longitude: -0.1 };
const HOUR = 3_600_000;

// The minute of the day at which the sun stands highest.
function solarNoon(day: number, place: { latitude: number; longitude: number }): number {
  const minutes = Array.from({ length: 24 * 60 }, (_, minute) => day + minute * 60_000);
  const height = (at: number) => solarPosition(at, place).elevationDeg;
  return minutes.reduce((best, at) => (height(at) > height(best) ? at : best));
}

describe("solarPosition", () => {
  it("at the equinox the sun rises in the east, stands in the south at noon and sets in the west", () => {
    const morning = solarPosition(Date.UTC(2025, 2, 20, 6, 10), LONDON);
    const noon = solarPosition(Date.UTC(2025, 2, 20, 12, 7), LONDON);
    const evening = solarPosition(Date.UTC(2025, 2, 20, 18, 10), LONDON);
    expect(Math.abs(morning.azimuthDeg - 90)).toBeLessThan(3);
    expect(Math.abs(noon.azimuthDeg - 180)).toBeLessThan(1.5);
    expect(Math.abs(noon.elevationDeg - 38.5)).toBeLessThan(0.5);
    expect(Math.abs(evening.azimuthDeg - 270)).toBeLessThan(3);
  });

  // Oracle: sin(elevation) = sin(lat) sin(d) + cos(lat) cos(d) cos(h) with d = 23.45 sin(360 (284 + n) / 365) degrees
  // (Cooper 1969, from memory), worked by hand. That declination is up to .7 degrees off at the equinox, hence the tolerance.
  it.each([
    { latitude: 51.5, day: Date.UTC(2025, 2, 21), solarHour: 7, elevationDeg: 9.0, azimuthDeg: 102 },
    { latitude: 51.5, day: Date.UTC(2025, 2, 21), solarHour: 17, elevationDeg: 9.0, azimuthDeg: 258 },
    { latitude: 51.5, day: Date.UTC(2025, 11, 21), solarHour: 9, elevationDeg: 5.3, azimuthDeg: 139 },
    { latitude: 37.5, day: Date.UTC(2025, 11, 21), solarHour: 8, elevationDeg: 7.0, azimuthDeg: 127 },
  ])("agrees with the hour-angle formula at $latitude degrees, $solarHour h solar time", (known) => {
    const place = { latitude: known.latitude, longitude: 0 };
    const { elevationDeg, azimuthDeg } = solarPosition(
      solarNoon(known.day, place) + (known.solarHour - 12) * HOUR,
      place,
    );
    expect(Math.abs(elevationDeg - known.elevationDeg)).toBeLessThan(0.7);
    expect(Math.abs(azimuthDeg - known.azimuthDeg)).toBeLessThan(0.8);
  });

  it("south of the tropics the noon sun stands in the north", () => {
    const { azimuthDeg } = solarPosition(Date.UTC(2025, 5, 21, 2, 0), { latitude: -33.9, longitude: 151.2 });
    expect(Math.min(azimuthDeg, 360 - azimuthDeg)).toBeLessThan(3);
  });

  it("angles keep their ranges anywhere, at any time; a full turn of longitude changes nothing", () => {
    const place = fc.record({
      latitude: fc.double({ min: -90, max: 90, noNaN: true }),
      longitude: fc.double({ min: -180, max: 0, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4e12 }), place, (at, where) => {
        const { azimuthDeg, elevationDeg } = solarPosition(at, where);
        expect(azimuthDeg).toBeGreaterThanOrEqual(0);
        expect(azimuthDeg).toBeLessThan(360);
        expect(Math.abs(elevationDeg)).toBeLessThanOrEqual(90);
        const turned = solarPosition(at, { ...where, longitude: where.longitude + 360 });
        expect(turned.elevationDeg).toBeCloseTo(elevationDeg, 6);
      }),
    );
  });

  it("impossible places and instants are refused", () => {
    expect(() => solarPosition(0, { latitude: 91, longitude: 0 })).toThrow(/latitude/);
    expect(() => solarPosition(0, { latitude: 0, longitude: 400 })).toThrow(/longitude/);
    expect(() => solarPosition(Number.NaN, LONDON)).toThrow(/instant/);
  });
});

describe("sky windows", () => {
  const window = { bearingDeg: 355, halfWidthDeg: 12, elevationMinDeg: 0, elevationMaxDeg: 25 };

  it("a window across north takes in both sides of it", () => {
    expect(isInSkyWindow({ azimuthDeg: 3, elevationDeg: 10 }, window)).toBe(true);
    expect(isInSkyWindow({ azimuthDeg: 345, elevationDeg: 10 }, window)).toBe(true);
    expect(isInSkyWindow({ azimuthDeg: 10, elevationDeg: 10 }, window)).toBe(false);
    expect(isInSkyWindow({ azimuthDeg: 3, elevationDeg: -1 }, window)).toBe(false);
  });

  it("a window round the whole horizon holds all of the day, and no night", () => {
    const path = sunPath({ from: Date.UTC(2025, 2, 20), until: Date.UTC(2025, 2, 21), stepMin: 10 }, LONDON);
    const whole = { bearingDeg: 0, halfWidthDeg: 180, elevationMinDeg: 0, elevationMaxDeg: 90 };
    expect(path.steps).toBe(144);
    expect(shareInSkyWindow(path, whole)).toBeCloseTo(0.5, 1);
    expect(() => shareInSkyWindow(path, { ...whole, elevationMinDeg: -5 })).toThrow(/horizon/);
  });

  it("no step, no share", () => {
    const path = sunPath({ from: 0, until: 0, stepMin: 10 }, LONDON);
    expect(shareInSkyWindow(path, window)).toBe(0);
    expect(() => sunPath({ from: 0, until: 1, stepMin: 0 }, LONDON)).toThrow(/step/);
  });
});
