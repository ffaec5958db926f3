import { describe, expect, it } from "vitest";
import { crossCheck } from "@/lib/import/cross-check";
import { makeDetector } from "@/tests/fixtures/records";

const now = Date.parse("2026-07-01T12:00:00Z");
const installedAt = Date.parse("2023-12-31T22:00:00Z");
const directory = {
  closed: false,
  sites: new Map([["S1", { timeZone: "Europe/Helsinki" }]]),
  detectors: new Map([["D1", { timeZone: "Europe/Helsinki", installedOn: "2024-01-01", installedAt }]]),
};
const reading = (readAt: number) => ({
  kind: "readings" as const,
  record: { detectorId: "D1", readAt, signalPct: 99, compensationPct: null, temperatureC: null },
});
const detector = (given: { installedOn?: string; lastServiceOn?: string | null }) => ({
  kind: "detectors" as const,
  record: makeDetector({ siteId: "S1", ...given }),
});

describe("the beginning of a detector's service", () => {
  it("lets a log in UTC begin up to a day before local midnight, and no earlier", () => {
    expect(crossCheck(reading(installedAt - 24 * 3_600_000), { directory, now })).toBeNull();
    expect(crossCheck(reading(installedAt - 24 * 3_600_000 - 1), { directory, now })?.column).toBe("read_at");
  });

  it("is not in the future, nor is the last service", () => {
    expect(crossCheck(detector({ installedOn: "2026-07-02" }), { directory, now })).toBeNull();
    expect(crossCheck(detector({ installedOn: "2026-07-03" }), { directory, now })).toMatchObject({
      column: "installed_on",
      value: "2026-07-03",
    });
    expect(crossCheck(detector({ lastServiceOn: "2099-01-01" }), { directory, now })?.column).toBe("last_service_on");
  });
});
