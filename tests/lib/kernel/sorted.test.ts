import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { countBelow } from "@/lib/kernel/sorted";

describe("counting rising values below a limit", () => {
  it("agrees with counting them one by one, equal ones and limits outside included", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -20, max: 20 })), fc.integer({ min: -25, max: 25 }), (values, limit) => {
        const rising = Float64Array.from(values).sort();
        expect(countBelow(rising, limit)).toBe(values.filter((value) => value < limit).length);
      }),
    );
  });
});
