import { beforeEach, describe, expect, it } from "vitest";
import { readSettings } from "@/db/queries/settings";
import { type Context, openContext } from "@/lib/services/context";
import { saveSettings } from "@/lib/services/save-settings";
import { showSettings } from "@/lib/services/show-settings";
import { settingKeys } from "@/lib/settings/settings";

const now = Date.UTC(2026, 5, 30, 12);
let context: Context;
beforeEach(() => {
  context = openContext(":memory:", { now });
});

async function textOf(key: string): Promise<string | undefined> {
  const view = await showSettings(context);
  return view.groups.flatMap(({ settings }) => settings).find((setting) => setting.key === key)?.text;
}

describe("the settings screen", () => {
  it("shows every setting once, in its group, with its default and where it comes from", async () => {
    const view = await showSettings(context);
    const shown = view.groups.flatMap(({ settings }) => settings);
    expect(shown.map(({ key }) => key).sort()).toEqual([...settingKeys].sort());
    expect(view).toMatchObject({ version: 0, savedAt: null, analysedVersion: null, currency: "EUR" });
    expect(shown.find(({ key }) => key === "perFaultEpisode")).toMatchObject({
      text: "385.00",
      unit: "EUR",
      isDefault: true,
      source: { standing: "your figure" },
    });
  });

  it("saves what was typed as a new version with its moment, and shows it again", async () => {
    const saved = await saveSettings(context, { values: { perFaultEpisode: "412,50", falseDiscoveryLimit: "10" } });
    expect(saved).toEqual({ outcome: "saved", version: 1 });
    expect(await showSettings(context)).toMatchObject({ version: 1, savedAt: now });
    expect(await textOf("perFaultEpisode")).toBe("412.50");
    expect(await textOf("travelPerVisit")).toBe("95.00");
    expect((await readSettings(context.store))?.values).toMatchObject({
      perFaultEpisode: 41_250,
      falseDiscoveryLimit: 0.1,
    });
  });

  it("saves nothing while one field is wrong, and names that field", async () => {
    const answer = await saveSettings(context, { values: { perFaultEpisode: "400", travelPerVisit: "cheap" } });
    expect(answer).toEqual({
      outcome: "invalid",
      problems: { travelPerVisit: "is not a number; type digits such as 120 or 4.5" },
    });
    expect(await readSettings(context.store)).toBeNull();
  });

  it("saving the same again makes no new version", async () => {
    await saveSettings(context, { values: { perFaultEpisode: "400" } });
    expect(await saveSettings(context, { values: { perFaultEpisode: "400.00" } })).toEqual({
      outcome: "unchanged",
      version: 1,
    });
  });

  it("reads amounts in the currency typed with them", async () => {
    expect(await saveSettings(context, { values: { currency: "jpy", perFaultEpisode: "60000" } })).toMatchObject({
      outcome: "saved",
    });
    expect((await readSettings(context.store))?.values).toMatchObject({ currency: "JPY", perFaultEpisode: 60_000 });
    const wrong = await saveSettings(context, { values: { currency: "euros" } });
    expect(wrong).toMatchObject({
      outcome: "invalid",
      problems: { currency: expect.stringContaining("three capital") },
    });
  });

  it("is refused to a caller without the right", async () => {
    const reader: Context = { ...context, permissions: new Set(["see"]) };
    await expect(saveSettings(reader, { values: {} })).rejects.toMatchObject({ code: "forbidden" });
    await expect(showSettings({ ...context, permissions: new Set() })).rejects.toMatchObject({ code: "forbidden" });
  });
});
