import { isInSkyWindow, shareInSkyWindow, solarPosition, sunPath } from "@/lib/kernel/sun";
import type { Evaluated } from "./compare";
import { at, casesOf, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

/** Apparent elevation (with refraction) and the full algorithm's own intermediate values are not ours to give. */
function positions(json: Json): Evaluated[] {
  const tolerance = numberAt(json, "tolerance");
  const wanted = listAt(json, "expected.rows");
  const grid = listAt(json, "input.rows").map((row, i): Evaluated => {
    const [utc = null, latitude = null, longitude = null] = listAt({ row }, "row");
    const [azimuth = 0, elevation = 0] = numbersAt({ row: wanted[i] ?? null }, "row");
    const found = solarPosition(Date.parse(String(utc)), { latitude: Number(latitude), longitude: Number(longitude) });
    return {
      id: `${utc} at ${latitude}, ${longitude}`,
      expected: { azimuth: 0, elevation },
      actual: { azimuth: turnBetween(found.azimuthDeg, azimuth), elevation: found.elevationDeg },
      tolerance,
    };
  });
  const place = {
    latitude: numberAt(json, "example.input.latitude"),
    longitude: numberAt(json, "example.input.longitude"),
  };
  const found = solarPosition(Date.parse(String(at(json, "example.input.utc"))), place);
  const expected = {
    azimuth: numberAt(json, "example.published.azimuth"),
    elevation: numberAt(json, "example.published.elevation"),
  };
  const actual = { azimuth: found.azimuthDeg, elevation: found.elevationDeg };
  return [...grid, { id: "published example", expected, actual, tolerance }];
}

/** Difference of two directions, through north where that is shorter. */
function turnBetween(a: number, b: number): number {
  return ((((a - b) % 360) + 540) % 360) - 180;
}

function windows(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const from = Date.parse(String(at(one, "input.startUtc")));
    const stepMin = numberAt(one, "input.stepMinutes");
    const steps = numberAt(one, "input.steps");
    const place = { latitude: numberAt(one, "input.latitude"), longitude: numberAt(one, "input.longitude") };
    const window = {
      bearingDeg: numberAt(one, "input.bearingDeg"),
      halfWidthDeg: numberAt(one, "input.halfWidthDeg"),
      elevationMinDeg: numberAt(one, "input.elevationMin"),
      elevationMaxDeg: numberAt(one, "input.elevationMax"),
    };
    const path = sunPath({ from, until: from + steps * stepMin * 60_000, stepMin }, place);
    const inside = new Array<number>(12).fill(0);
    const all = new Array<number>(12).fill(0);
    for (let step = 0; step < steps; step++) {
      const moment = from + step * stepMin * 60_000;
      const month = new Date(moment).getUTCMonth();
      all[month] = (all[month] ?? 0) + 1;
      if (isInSkyWindow(solarPosition(moment, place), window)) inside[month] = (inside[month] ?? 0) + 1;
    }
    const actual = {
      share: shareInSkyWindow(path, window),
      shareByMonth: inside.map((count, month) => count / (all[month] ?? 1)),
    };
    // The number of steps is the share times the steps, and a tolerance for shares does not fit it.
    const expected = {
      share: at(one, "expected.share") ?? null,
      shareByMonth: at(one, "expected.shareByMonth") ?? null,
    };
    return { id: String(at(one, "id")), expected, actual, tolerance: numberAt(json, "tolerance") };
  });
}

export const sunKinds: readonly Kind[] = [
  {
    name: "position of the sun",
    prefixes: ["solar_position"],
    looksLike: (json) => at(json, "example.input.utc") !== undefined,
    evaluate: positions,
  },
  {
    name: "share of time with the sun in a window",
    prefixes: ["glare_window"],
    looksLike: (json) => at(casesOf(json)[0], "input.bearingDeg") !== undefined,
    evaluate: windows,
  },
];
