import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { detectorsQueryOf, detectorsSearch } from "@/lib/services/detectors-query";
import type { DetectorsQuery } from "@/lib/services/show-detectors";

function read(address: string): DetectorsQuery {
  return detectorsQueryOf(Object.fromEntries(new URL(address, "http://here").searchParams));
}

describe("the address of a list of detectors", () => {
  it("gives back the query it was made from, so that a list can be sent to a colleague", () => {
    const word = fc.option(
      fc.string({ minLength: 1, maxLength: 40 }).filter((text) => text.trim() === text),
      { nil: undefined },
    );
    const query = fc.record({
      siteId: word,
      kind: word,
      access: fc.constantFrom("ladder" as const, "boom_lift" as const, undefined),
      text: word,
      sort: fc.constantFrom("rank" as const, "expectedCost" as const, undefined),
      direction: fc.constantFrom("asc" as const, "desc" as const, undefined),
      page: fc.constantFrom(2, 17, undefined),
    });
    fc.assert(
      fc.property(query, (asked) => {
        expect(read(`/detectors${detectorsSearch(asked)}`)).toEqual(asked);
      }),
    );
  });

  it("nonsense in it is passed over", () => {
    const query = read("/detectors?sort=drop%20table&page=-3&access=rope&dir=up&site=&q=bay");
    expect(query).toEqual({
      siteId: undefined,
      kind: undefined,
      access: undefined,
      text: "bay",
      sort: undefined,
      direction: undefined,
      page: undefined,
    });
    expect(detectorsQueryOf({ q: ["a", "b"] }).text).toBeUndefined();
  });

  it("the first page and an open query leave it short", () => {
    expect(detectorsSearch({ page: 1 })).toBe("");
  });
});
