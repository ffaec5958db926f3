import { describe, expect, it } from "vitest";
import { settingsWithCosts } from "@/lib/settings/cost-file";
import { defaultSettings } from "@/lib/settings/settings";

const read = (value: unknown) =>
  settingsWithCosts(defaultSettings(), typeof value === "string" ? value : JSON.stringify(value));

describe("a costs file", () => {
  it("replaces what it gives and leaves the rest", () => {
    const file = read({ currency: "GBP", perFaultEpisode: 0, accessPerVisit: { tower: 12.5 }, perTask: { clean: 7 } });
    expect(file).toMatchObject({
      ok: true,
      settings: {
        currency: "GBP",
        perFaultEpisode: 0,
        accessTower: 12.5,
        taskClean: 7,
        taskRealign: defaultSettings().taskRealign,
      },
    });
  });

  it.each([
    ["{", /not JSON/],
    [[1], /not an object/],
    [{ perFault: 1 }, /'perFault'/],
    [{ perTask: { polish: 1 } }, /'perTask.polish'/],
    [{ perTask: { clean: -1 } }, /'perTask.clean'.*below 0/],
    [{ travelPerVisit: "12" }, /'travelPerVisit'.*not a number/],
    [{ currency: "euro" }, /'currency'.*three capital letters/],
  ])("refuses %j and names the key", (value, problem) => {
    expect(read(value)).toMatchObject({ ok: false, problem: expect.stringMatching(problem) });
  });
});
