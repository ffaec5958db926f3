import { describe, expect, it } from "vitest";
import type { FoldChoice } from "@/lib/kernel/time";
import { momentOf } from "@/lib/records/moment";

const helsinki = (text: string, fold: FoldChoice = "refuse") =>
  momentOf(text, "read_at", { zone: "Europe/Helsinki", fold });
const at = (iso: string) => ({ ok: true, value: Date.parse(iso) });

describe("a moment cell", () => {
  it("is the instant it says when it carries an offset, whatever the zone of the site", () => {
    expect(helsinki("2026-03-09T14:05:00+02:00")).toEqual(at("2026-03-09T12:05:00Z"));
    expect(helsinki("2026-03-09 14:05Z")).toEqual(at("2026-03-09T14:05:00Z"));
    expect(helsinki("2026-03-09T14:05:00.250-0330")).toEqual(at("2026-03-09T17:35:00.250Z"));
    expect(helsinki("2024-02-29T23:59:59.9999Z")).toEqual(at("2024-02-29T23:59:59.999Z"));
  });

  it("is wall time of the site without an offset, in winter and in summer", () => {
    // Helsinki is two hours before UTC in winter and three in summer.
    expect(helsinki("2026-01-15T12:00:00")).toEqual(at("2026-01-15T10:00:00Z"));
    expect(helsinki("2026-07-15T12:00:00")).toEqual(at("2026-07-15T09:00:00Z"));
  });

  it("is refused when the clocks jumped over it", () => {
    // Clocks went from 03:00 to 04:00 on 2026-03-29.
    expect(helsinki("2026-03-29T02:59:59")).toEqual(at("2026-03-29T00:59:59Z"));
    expect(helsinki("2026-03-29T03:00:00")).toMatchObject({
      ok: false,
      refusal: { column: "read_at", value: "2026-03-29T03:00:00", reason: expect.stringContaining("did not exist") },
    });
    expect(helsinki("2026-03-29T04:00:00")).toEqual(at("2026-03-29T01:00:00Z"));
  });

  it("is refused when the clocks showed it twice, unless the file says which is meant", () => {
    // Clocks went from 04:00 back to 03:00 on 2026-10-25.
    const twice = "2026-10-25T03:30:00";
    expect(helsinki(twice)).toMatchObject({
      ok: false,
      refusal: { value: twice, reason: expect.stringMatching(/happened twice.*--fold/) },
    });
    expect(helsinki(twice, "first")).toEqual(at("2026-10-25T00:30:00Z"));
    expect(helsinki(twice, "second")).toEqual(at("2026-10-25T01:30:00Z"));
    expect(helsinki("2026-10-25T04:00:00", "first")).toEqual(at("2026-10-25T02:00:00Z"));
  });

  it.each([
    ["yesterday", "is not a time"],
    ["2026-03-09", "is not a time"],
    ["09.03.2026 14:05", "is not a time"],
    ["2026-02-29T10:00:00Z", "names a day that does not exist"],
    ["2026-13-01T10:00:00Z", "names a day that does not exist"],
    ["2026-03-09T24:00:00Z", "names a time of day that does not exist"],
    ["2026-03-09T14:60:00Z", "names a time of day that does not exist"],
    ["2026-03-09T14:05:00+15:00", "has an offset outside"],
  ])("refuses '%s': it %s", (text, reason) => {
    expect(helsinki(text)).toMatchObject({
      ok: false,
      refusal: { value: text, reason: expect.stringContaining(reason) },
    });
  });
});
