import { describe, expect, it } from "vitest";
import { withoutBadSpell } from "@/lib/analyse/findings/seasonal-alarms/one-bad-spell";

/** Kept alarms inside and outside of the window. */
function kept(spells: readonly (number | null)[], possible = 3) {
  const result = withoutBadSpell(spells, possible);
  return {
    inside: result.kept.filter((index) => spells[index] !== null).length,
    outside: result.kept.filter((index) => spells[index] === null).length,
    returns: result.returns,
  };
}

describe("a single bad spell is no season", () => {
  it("alarms of one year alone count once and do not return", () => {
    expect(kept([1, 1, 1, 1, 1, null])).toEqual({ inside: 1, outside: 1, returns: false });
  });

  it("a year with five of seven counts for one more than the next", () => {
    // P(Bin(6, 1/3) >= 5) = 13 / 729; three years could be the fullest: 5.3 %, below one in five.
    expect(kept([1, 1, 1, 1, 1, 2, null])).toEqual({ inside: 3, outside: 1, returns: true });
  });

  it("an uneven but ordinary spread over years is left as it is", () => {
    // P(Bin(6, 1/3) >= 4) = 73 / 729; three times that is 30 %.
    expect(kept([1, 1, 1, 1, 2, 3])).toEqual({ inside: 6, outside: 0, returns: true });
  });

  it("no alarm in the window returns nowhere and drops nothing", () => {
    expect(kept([null, null])).toEqual({ inside: 0, outside: 2, returns: false });
    expect(kept([])).toEqual({ inside: 0, outside: 0, returns: false });
  });
});
