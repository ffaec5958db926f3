import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type FleetRecords, knownAt } from "@/lib/analyse/known";
import { at, makeDetector, makeEvent, makeSite, makeWork } from "@/tests/fixtures/records";

const asOf = at("2025-06-01");
const records = (changes: Partial<FleetRecords>): FleetRecords => ({
  sites: [makeSite()],
  detectors: [makeDetector()],
  events: [],
  work: [],
  ...changes,
});

describe("what is known as of a moment", () => {
  it("holds events and work before the moment, and none at it", () => {
    const events = [makeEvent({ beganAt: asOf - 1 }), makeEvent({ beganAt: asOf })];
    const work = [
      { ...makeWork(), doneAt: asOf - 1 },
      { ...makeWork(), doneAt: asOf },
    ];
    const known = knownAt(records({ events, work }), asOf);
    expect(known.events.map((event) => event.beganAt)).toEqual([asOf - 1]);
    expect(known.work.map((one) => one.doneAt)).toEqual([asOf - 1]);
  });

  it("does not know the end of an event that ends at the moment or later", () => {
    const ends = [asOf - 1, asOf, asOf + 1].map((endedAt, index) => makeEvent({ beganAt: asOf - 10 + index, endedAt }));
    expect(knownAt(records({ events: ends }), asOf).events.map((event) => event.endedAt)).toEqual([
      asOf - 1,
      null,
      null,
    ]);
  });

  it("counts a detector from the first moment of its installation day on the site's clock", () => {
    // 1 June begins in Auckland at noon UTC of 31 May, in Honolulu at ten in the morning UTC of 1 June.
    const at12 = (timeZone: string, moment: number) =>
      knownAt(
        records({ sites: [makeSite({ timeZone })], detectors: [makeDetector({ installedOn: "2025-06-01" })] }),
        moment,
      ).detectors.length;
    expect(at12("Pacific/Auckland", at("2025-05-31T12:00:00Z"))).toBe(0);
    expect(at12("Pacific/Auckland", at("2025-05-31T12:00:00Z") + 1)).toBe(1);
    expect(at12("Pacific/Honolulu", at("2025-06-01T10:00:00Z"))).toBe(0);
    expect(at12("Pacific/Honolulu", at("2025-06-01T10:00:00Z") + 1)).toBe(1);
  });

  it("leaves out a site without a detector in service, and records of detectors not in service", () => {
    const known = knownAt(
      records({
        sites: [makeSite(), makeSite({ siteId: "S2" })],
        detectors: [makeDetector(), makeDetector({ detectorId: "D2", siteId: "S2", installedOn: "2025-07-01" })],
        events: [makeEvent({ detectorId: "D2" })],
        work: [makeWork({ detectorId: "D2" })],
      }),
      asOf,
    );
    expect(known.sites.map((site) => site.siteId)).toEqual(["S1"]);
    expect(known).toMatchObject({ events: [], work: [] });
  });

  it("keeps a service noted for an earlier day and forgets one noted for later", () => {
    const serviceOn = (lastServiceOn: string) =>
      knownAt(records({ detectors: [makeDetector({ lastServiceOn })] }), asOf).detectors[0]?.lastServiceOn;
    expect(serviceOn("2025-05-31")).toBe("2025-05-31");
    expect(serviceOn("2025-06-01")).toBeNull();
  });

  it("does not know a service of a day that has not begun on the site's clock", () => {
    // 1 June begins in Honolulu at ten in the morning UTC.
    const sites = [makeSite({ timeZone: "Pacific/Honolulu" })];
    const detectors = [makeDetector({ lastServiceOn: "2025-06-01" })];
    const asOfMorning = (moment: string) => knownAt(records({ sites, detectors }), at(moment)).detectors[0];
    expect(asOfMorning("2025-06-01T10:00:00Z")?.lastServiceOn).toBeNull();
    expect(asOfMorning("2025-06-01T10:01:00Z")?.lastServiceOn).toBe("2025-06-01");
  });

  it("gives the same lists for records in any order, without touching the ones given", () => {
    const detectors = ["C", "A", "B"].map((detectorId) => makeDetector({ detectorId }));
    const events = fc.uniqueArray(fc.tuple(fc.constantFrom("A", "B", "C"), fc.integer({ min: 0, max: 30 })), {
      selector: ([id, day]) => `${id} ${day}`,
    });
    fc.assert(
      fc.property(events, (rows) => {
        const given = rows.map(([detectorId, day]) =>
          makeEvent({ detectorId, beganAt: at("2025-01-01") + day * 3_600_000 }),
        );
        const straight = records({ detectors: Object.freeze([...detectors]), events: Object.freeze(given) });
        const turned = records({ detectors: [...detectors].reverse(), events: [...given].reverse() });
        expect(knownAt(turned, asOf)).toEqual(knownAt(straight, asOf));
      }),
    );
  });
});
