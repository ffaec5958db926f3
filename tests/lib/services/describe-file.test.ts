import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import type { Context } from "@/lib/services/context";
import { describeFile } from "@/lib/services/describe-file";
import { saveMapping } from "@/lib/services/mappings";
import { importTexts, makeContext, someOf } from "../../fixtures/import-folder";
import { panelDetectors, panelFile, panelMapping } from "../../fixtures/panel-file";
import { scratchFolder } from "../../fixtures/scratch-folder";

let context: Context;
beforeEach(async () => {
  context = makeContext();
  await importTexts(context, panelDetectors);
});

/** Describes a file of this content, of which nobody has said anything. */
function describeText(content: string | Uint8Array, name = "sent.csv") {
  const path = join(scratchFolder(), name);
  writeFileSync(path, content);
  return describeFile(context, { name, path, staged: null });
}

describe("a file that waits to be imported", () => {
  it("with our own columns is ready, and an import is told nothing about it", async () => {
    const described = await describeText(someOf("sites.csv")["sites.csv"] ?? "", "sites.csv");
    expect(described).toMatchObject({ state: "ready", kind: "sites", by: "own_columns", order: { name: "sites.csv" } });
    expect(described.seen).toEqual({ rows: 2, whole: true, refused: 0, waits: 0 });
  });

  it("with our columns in a foreign writing is ready too, since its own rows decide how it is read", async () => {
    const text = "detector_id;read_at;signal_pct\nP1-1-05;23.04.2025 07:00;98,5\nP1-1-05;24.04.2025 07:00;97\n";
    expect(await describeText(text)).toMatchObject({ state: "ready", by: "own_columns", seen: { refused: 0 } });
  });

  it("with columns of its own is guessed, and needs a person who says that the guess is right", async () => {
    const described = await describeText("Detector;Time;Signal %\nD1;23.04.2025 07:00;98,5\nD2;23.04.2025 07:00;97\n");
    expect(described).toMatchObject({ state: "asks", by: "guess", kind: "readings", order: null, missing: [] });
    expect(described.form).toMatchObject({ separator: ";", encoding: "utf-8", headerLine: 1 });
  });

  it("is ready where just one saved mapping was made for its columns; where several were, a person chooses", async () => {
    await saveMapping(context, { name: "Panel", mapping: panelMapping });
    const order = { mapping: panelMapping, mappingVersionKey: 1 };
    expect(await describeText(panelFile)).toMatchObject({
      state: "ready",
      saved: { name: "Panel", version: 1 },
      order,
    });
    await saveMapping(context, { name: "Old panel", mapping: panelMapping });
    expect(await describeText(panelFile)).toMatchObject({
      state: "asks",
      fitting: ["Old panel", "Panel"],
      order: null,
    });
  });

  it("asks what its rows leave open, with what each answer would make of them", async () => {
    const described = await describeText("detector_id,read_at,signal_pct\nP1-1-05,03/04/2025 07:00,98.5\n");
    expect(described.state).toBe("asks");
    const [question] = described.questions;
    expect(question?.options.map(({ answer, reads }) => [answer, reads])).toEqual([
      ["day_first", "2025-04-03"],
      ["month_first", "2025-03-04"],
    ]);
  });

  it("does not hold up a long file for what its first rows leave open, since all of them may settle it", async () => {
    const rows = `P1-1-05,03/04/2025 07:00,98.5\n`.repeat(20_001);
    const described = await describeText(`detector_id,read_at,signal_pct\n${rows}`);
    expect(described).toMatchObject({ state: "ready", seen: { whole: false }, order: { name: "sent.csv" } });
    expect(described.questions).toHaveLength(1);
  });

  it("counts what would wait or be refused, and lists the words nobody knows, most frequent first", async () => {
    const waiting = "detector_id,read_at,signal_pct\nX-1,2025-04-23T07:00:00Z,98\nP1-1-05,2025-04-23T07:00:00Z,401\n";
    expect((await describeText(waiting)).seen).toMatchObject({ rows: 2, refused: 1, waits: 1 });
    const words = ["Glasbruch", "Glasbruch", "Wespennest", "low signal"];
    const rows = words.map((word, hour) => `P1-1-05;23.04.2025 0${hour}:00;Störung;${word}`);
    const { unknownWords } = await describeText(`Melder;Zeit;Ereignis;Ursache\n${rows.join("\n")}\n`);
    expect(unknownWords).toEqual([
      { column: "cause", word: "Glasbruch", count: 2 },
      { column: "cause", word: "Wespennest", count: 1 },
    ]);
  });

  it.each([
    ["a PDF", "%PDF-1.7\n%âãÏÓ\n", /is a PDF/],
    ["an empty file", "", /empty/],
    ["bytes that are no text", new Uint8Array(5_000).map((_, index) => (index * 7919) % 251), /./],
  ])("that is %s cannot be read, with the reason and nothing else", async (_, content, reason) => {
    const described = await describeText(content);
    expect(described).toMatchObject({ state: "unreadable", form: null, order: null });
    expect(described.flaw).toMatch(reason);
  });

  it("is not described to a caller who may not import", async () => {
    const blind = { ...context, permissions: new Set(["see"] as const) };
    const file = { name: "x.csv", path: join(scratchFolder(), "x.csv"), staged: null };
    await expect(describeFile(blind, file)).rejects.toMatchObject({ code: "forbidden" });
  });
});
