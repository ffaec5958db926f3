import { describe, expect, it } from "vitest";
import { windowEvidence } from "@/lib/analyse/findings/seasonal-alarms/cause";

describe("the evidence for a window", () => {
  it("of a single alarm has a closed form", () => {
    // Mean over the share s in (0, 1) of 1 - s + s / p is (1 + 1 / p) / 2; of 1 - s it is 1/2.
    expect(windowEvidence({ inside: 1, total: 1, share: 0.1 })).toBeCloseTo(5.5, 9);
    expect(windowEvidence({ inside: 0, total: 1, share: 0.1 })).toBeCloseTo(0.5, 9);
  });

  it("of no alarm is even, and a window that holds nothing has none", () => {
    expect(windowEvidence({ inside: 0, total: 0, share: 0.2 })).toBeCloseTo(1, 9);
    expect(windowEvidence({ inside: 0, total: 4, share: 0 })).toBe(0);
  });

  it("is greater for the narrower of two windows that hold the same alarms", () => {
    const narrow = windowEvidence({ inside: 5, total: 6, share: 0.05 });
    expect(narrow).toBeGreaterThan(10 * windowEvidence({ inside: 5, total: 6, share: 0.2 }));
  });
});
