import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { guessMapping } from "@/lib/import/mapping/guess";
import type { CellReading } from "@/lib/import/mapping/mapping";
import { mappingDraftSchema, mappingSchema } from "@/lib/import/mapping/mapping";

function guess(text: string, { name = "file.csv", separator = ";" } = {}) {
  const [columns = [], ...rows] = text
    .trim()
    .split("\n")
    .map((line) => line.trim().split(separator));
  return guessMapping({ columns, rows, name });
}

/** Their columns, joined, by column of ours. */
function sources({ draft }: ReturnType<typeof guess>) {
  return Object.fromEntries(
    Object.entries(draft.columns).map(([column, { parts }]) => [
      column,
      parts.flatMap((part) => ("column" in part ? [part.column] : [])).join("+"),
    ]),
  );
}

function wordsOf(read: CellReading | undefined) {
  return read?.as === "words" ? Object.fromEntries(read.words.map(({ theirs, ours }) => [theirs, ours])) : {};
}

const panelLog = `
  Datum;Uhrzeit;Zentrale;Ring;Melder;Ereignis;Zustand
  09.03.2026;14:05:00;1;2;17;Störung;kommt
  09.03.2026;14:25:00;1;2;17;Störung;geht
  23.03.2026;08:00:00;1;2;18;Brandalarm;kommt
  24.03.2026;08:00:00;1;2;18;Abschaltung;kommt
  24.03.2026;09:00:00;1;2;18;Wassereinbruch;kommt`;

describe("the guess of a mapping", () => {
  it("joins a day with its time and an id from its pieces, and finds the rows that begin and end", () => {
    const guessed = guess(panelLog);
    expect(guessed.draft.kind).toBe("events");
    expect(sources(guessed)).toEqual({
      detector_id: "Zentrale+Ring+Melder",
      began_at: "Datum+Uhrzeit",
      condition: "Ereignis",
      phase: "Zustand",
    });
    expect(wordsOf(guessed.draft.columns.phase?.read)).toEqual({ kommt: "begin", geht: "end" });
    expect(mappingSchema.safeParse(guessed.draft).success).toBe(true);
  });

  it("names our words only for those it knows, and leaves the others unmapped", () => {
    const { draft, doubts } = guess(panelLog);
    expect(wordsOf(draft.columns.condition?.read)).toEqual({
      Störung: "fault",
      Brandalarm: "fire",
      Abschaltung: "disablement",
    });
    expect(doubts.filter(({ column }) => column === "condition").map(({ reason }) => reason)).toEqual([
      expect.stringContaining("check each word"),
      expect.stringContaining("does not know 1"),
    ]);
  });

  it("leaves the order of dates and the decimal sign to the file's evidence", () => {
    const { draft } = guess("Beam;Read;Level;Temp °F\nD1;03/04/2026 14:05;98,5;70\nD2;05/04/2026 14:05;97,1;71");
    expect(draft.columns.read_at?.read).toEqual({ as: "moment", order: null, zone: "site" });
    expect(draft.columns.temperature_c?.read).toEqual({ as: "number", decimal: null, unit: "fahrenheit" });
  });

  it.each([
    ["en", "Detector;Timestamp;Signal level;Temperature\nD1;2026-03-09 14:05;98.1;21"],
    ["de", "Melder;Zeitpunkt;Pegel;Temperatur\nD1;09.03.2026 14:05;98,1;21"],
    ["fr", "Détecteur;Horodatage;Niveau;Température\nD1;09/03/2026 14:05;98,1;21"],
    ["es", "Detector;Fecha y hora;Nivel de señal;Temperatura\nD1;09/03/2026 14:05;98,1;21"],
    ["it", "Rivelatore;Data ora;Segnale;Temperatura\nD1;09/03/2026 14:05;98,1;21"],
    ["nl", "Meldpunt;Tijdstip;Signaal;Temperatuur\nD1;09-03-2026 14:05;98,1;21"],
    ["sv", "Detektor;Tidpunkt;Signalnivå;Temperatur\nD1;2026-03-09 14:05;98,1;21"],
    ["pt", "Detector;Data e hora;Sinal;Temperatura\nD1;09/03/2026 14:05;98,1;21"],
  ])("finds a file of readings by its header in %s", (_, text) => {
    const guessed = guess(text);
    expect(guessed.draft.kind).toBe("readings");
    expect(Object.keys(sources(guessed)).toSorted()).toEqual(["detector_id", "read_at", "signal_pct", "temperature_c"]);
  });

  it("tells sites, detectors and work by their columns", () => {
    expect(guess("Site code;Site name;Lat;Long;Time zone\nS1;North;51.5;-0.1;Europe/London").draft.kind).toBe("sites");
    const detectors = guess(
      "Beam No;Store;Description;Type;Path length (ft);Mounting height;Azimuth;Commissioned;Threshold;Reached by\nB1;S1;Hall A;reflective;150;30;90;3/23/2019;35;Scissor lift",
    );
    expect(detectors.draft.kind).toBe("detectors");
    expect(detectors.draft.columns.path_length_m?.read).toMatchObject({ unit: "foot" });
    const work = guess("Detector;Date;Time;Work done;Result;As found;As left\nD1;23/03/2026;14:05;Realigned;OK;88;100");
    expect(work.draft.kind).toBe("work");
    expect(sources(work)).toMatchObject({ done_at: "Date+Time", task: "Work done", signal_before_pct: "As found" });
  });

  it("doubts a unit that nobody names, and none of a file in our own words", () => {
    const columnsInDoubt = (text: string) => guess(text).doubts.map(({ column }) => column);
    expect(columnsInDoubt("Beam;Read;Level\nD1;2026-03-04 14:05;98.5")).toContain("signal_pct");
    expect(columnsInDoubt("Beam;Read;Level [dB]\nD1;2026-03-04 14:05;0.5")).toContain("signal_pct");
    expect(columnsInDoubt("detector_id;read_at;signal_pct\nD1;2026-03-04T14:05:00Z;98.5")).toEqual([]);
  });

  it("takes no denied condition for the condition", () => {
    const { draft } = guess(
      "Detector;Time;Event\nD1;2026-03-04 14:05;No fault\nD1;2026-03-04 14:06;Fault\nD1;2026-03-04 14:07;Fire test",
    );
    expect(wordsOf(draft.columns.condition?.read)).toEqual({ Fault: "fault", "Fire test": "test" });
  });

  it("is made in a moment and stays valid for a table with absurd columns", () => {
    const columns = Array.from({ length: 3_000 }, (_, index) =>
      index % 2 ? `Event ${index}` : "x".repeat(300) + index,
    );
    const rows = Array.from({ length: 100 }, (_, row) => columns.map((_name, index) => `fault ${row} ${index}`));
    const { draft } = guessMapping({ columns, rows, name: "x" });
    expect(mappingDraftSchema.safeParse(draft).success).toBe(true);
  });

  it("gives a draft for any table, and never throws", () => {
    const cell = fc.oneof(
      fc.string({ maxLength: 12 }),
      fc.constantFrom("09/03/2026", "14:05", "Fault", "1,5", "", "D1", "__proto__"),
    );
    const header = fc.oneof(
      fc.string({ maxLength: 12 }),
      fc.constantFrom("Date", "Time", "Signal dB", "Detector", "Event", "__proto__", "constructor"),
    );
    fc.assert(
      fc.property(
        fc.uniqueArray(header, { maxLength: 8 }),
        fc.array(fc.array(cell, { maxLength: 9 }), { maxLength: 8 }),
        (columns, rows) => {
          const { draft } = guessMapping({ columns: columns.filter((name) => name.trim() !== ""), rows, name: "x" });
          expect(mappingDraftSchema.safeParse(draft).success).toBe(true);
        },
      ),
      { numRuns: 500 },
    );
  });

  it("takes a column that is named for detectors though its only id looks like a date", () => {
    const rows = [["P1-1-05", "2025-04-03 13:05", "98"]];
    const { draft } = guessMapping({ columns: ["Melder", "Zeit", "Signal %"], rows, name: "x.csv" });
    expect(draft.columns.detector_id?.parts).toEqual([{ column: "Melder" }]);
    const dated = guessMapping({
      columns: ["Melder", "Zeit", "Signal %"],
      rows: [["1-1-05", "2025-04-03 13:05", "98"]],
      name: "",
    });
    expect(dated.draft.columns.detector_id?.parts).toEqual([{ column: "Melder" }]);
  });
});
