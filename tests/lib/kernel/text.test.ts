import { describe, expect, it } from "vitest";
import { compareText } from "@/lib/kernel/text";

describe("the order of texts", () => {
  it("goes by code unit, whatever the locale says of capitals and accents", () => {
    expect(["b", "É", "a", "Z", "10", "9"].sort(compareText)).toEqual(["10", "9", "Z", "a", "b", "É"]);
    expect(compareText("same", "same")).toBe(0);
  });
});
