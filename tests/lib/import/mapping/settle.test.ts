import { describe, expect, it } from "vitest";
import { canonicalMapping, isPlainCanonical } from "@/lib/import/mapping/canonical-mapping";
import { TableEvidence } from "@/lib/import/mapping/evidence";
import type { CalendarOrder, Mapping } from "@/lib/import/mapping/mapping";
import { settle } from "@/lib/import/mapping/settle";

const columns = ["detector_id", "read_at", "signal_pct"];
const readings = canonicalMapping("readings", columns);

function settled(rows: readonly (readonly [string, string])[], mapping: Mapping = readings) {
  const evidence = new TableEvidence(mapping, columns);
  for (const [index, [readAt, signal]] of rows.entries()) evidence.take(["D1", readAt, signal], index + 2);
  return settle(mapping, evidence);
}

function orderOf(rows: readonly string[]) {
  const result = settled(rows.map((row) => [row, "98"]));
  const read = result.ok ? result.mapping.columns.read_at?.read : undefined;
  return read?.as === "moment" ? read.order : null;
}

const stated = (order: CalendarOrder): Mapping => ({
  ...readings,
  columns: {
    ...readings.columns,
    read_at: { parts: [{ column: "read_at" }], read: { as: "moment", order, zone: "site" } },
  },
});

describe("the order of the dates of a file", () => {
  it("is decided by a date that has only one reading, and the line is named", () => {
    const result = settled([
      ["03/04/2026 10:00", "98"],
      ["23/04/2026 10:00", "98"],
    ]);
    expect(result).toMatchObject({
      ok: true,
      mapping: { columns: { read_at: { read: { order: "day_first" } } } },
      notes: [expect.stringMatching(/day first: .*line 3 has 23\/04\/2026 10:00, which cannot be month first/)],
    });
    expect(orderOf(["03/04/2026 10:00", "04/23/2026 10:00"])).toBe("month_first");
    expect(orderOf(["03/04/05 10:00", "99/04/23 10:00"])).toBe("year_first");
  });

  it("needs no decision where every date reads alike", () => {
    expect(
      settled([
        ["2026-03-04T10:00:00Z", "98"],
        ["5 March 2026 10:00", "97"],
        ["05/05/2026 10:00", "97"],
      ]),
    ).toMatchObject({ ok: true, notes: [] });
  });

  it("is asked for when no date decides, with what each order would make of it", () => {
    const result = settled([
      ["03/04/2026 10:00", "98"],
      ["05/06/2026 10:00", "98"],
    ]);
    expect(result).toMatchObject({
      ok: false,
      questions: [
        {
          about: "dates",
          columns: ["read_at"],
          ours: ["read_at"],
          sample: "03/04/2026 10:00",
          options: [
            { answer: "day_first", reads: "2026-04-03", suggested: false },
            { answer: "month_first", reads: "2026-03-04", suggested: false },
          ],
        },
      ],
    });
  });

  it("is only suggested, never decided, by rows that follow one another in time", () => {
    // Read month first, the 12th month would come before the first of the same year.
    const result = settled(
      ["10/01/2026", "11/01/2026", "12/01/2026", "01/02/2026", "02/02/2026"].map((day) => [`${day} 10:00`, "98"]),
    );
    expect(result).toMatchObject({ ok: false });
    if (result.ok) return;
    const suggested = result.questions[0]?.options.filter((option) => option.suggested).map((option) => option.answer);
    expect(suggested).toEqual(["day_first"]);
  });

  it("is not settled by a mixed file: both lines are named and nothing is misread", () => {
    const result = settled([
      ["23/04/2026 10:00", "98"],
      ["03/04/2026 10:00", "98"],
      ["04/25/2026 10:00", "98"],
    ]);
    expect(result).toMatchObject({ ok: false });
    if (result.ok) return;
    expect(result.questions[0]?.reason).toMatch(/line 2 has 23\/04\/2026.*line 4 has 04\/25\/2026/s);
  });

  it("stays in doubt between two orders though a first doubtful date differs only in the third", () => {
    expect(
      settled([
        ["04/04/26 10:00", "98"],
        ["05/05/2026 10:00", "98"],
        ["03/04/26 10:00", "98"],
      ]),
    ).toMatchObject({ ok: false });
  });

  it("is asked for anew when a stated order contradicts most telling dates, and kept against a single slip", () => {
    expect(
      settled(
        [
          ["04/23/2026 10:00", "98"],
          ["03/04/2026 10:00", "98"],
        ],
        stated("day_first"),
      ),
    ).toMatchObject({ ok: false });
    const slip = ["23/04/2026", "24/04/2026", "04/25/2026"].map((day) => [`${day} 10:00`, "98"] as const);
    expect(settled(slip, stated("day_first"))).toMatchObject({ ok: true });
  });

  it("is said to be doubtful when the rows follow one another in time only in an order the mapping does not state", () => {
    const jumping = ["10/01/2026", "11/01/2026", "12/01/2026", "01/02/2026", "02/02/2026"].map(
      (day) => [`${day} 10:00`, "98"] as const,
    );
    expect(settled(jumping, stated("day_first"))).toMatchObject({ ok: true, notes: [] });
    expect(settled(jumping, stated("month_first"))).toMatchObject({
      ok: true,
      notes: [expect.stringContaining("check some rows")],
    });
  });

  it("tells which way the rows go in time", () => {
    const days = ["23/04/2026 10:00", "24/04/2026 10:00", "25/04/2026 10:00"].map((at) => [at, "98"] as const);
    expect(settled(days)).toMatchObject({ rowOrder: "ascending" });
    expect(settled(days.toReversed())).toMatchObject({ rowOrder: "descending" });
  });
});

describe("the decimal sign of a file", () => {
  const signOf = (signals: readonly string[]) => {
    const result = settled(signals.map((signal) => ["2026-03-04T10:00:00Z", signal]));
    const read = result.ok ? result.mapping.columns.signal_pct?.read : undefined;
    return read?.as === "number" ? read.decimal : null;
  };

  it("is decided by how the numbers are written", () => {
    expect(signOf(["98,5", "97"])).toBe("comma");
    expect(signOf(["98.5", "97"])).toBe("point");
    expect(signOf(["98", "97"])).toBe("point");
  });

  it("is decided by the range of the column where one reading alone falls into it", () => {
    // 98,123 with a decimal point would be 98 123 %, and a signal ends at 400 %.
    expect(signOf(["98,123", "97,456"])).toBe("comma");
    expect(signOf(["98.123", "97.456"])).toBe("point");
  });

  it("is asked for when a number may be either, and when numbers contradict one another", () => {
    const minutes = canonicalMapping("work", ["detector_id", "done_at", "task", "minutes"]);
    const evidence = new TableEvidence(minutes, ["detector_id", "done_at", "task", "minutes"]);
    evidence.take(["D1", "2026-03-04T10:00:00Z", "clean", "1,200"], 2);
    expect(settle(minutes, evidence)).toMatchObject({
      ok: false,
      questions: [
        {
          about: "decimal",
          sample: "1,200",
          options: [
            { answer: "point", reads: "1200" },
            { answer: "comma", reads: "1.200" },
          ],
        },
      ],
    });
    expect(
      settled([
        ["2026-03-04T10:00:00Z", "98,5"],
        ["2026-03-04T10:00:00Z", "98.5"],
      ]),
    ).toMatchObject({ ok: false });
  });

  it("says when attenuation is mostly below zero", () => {
    const decibel: Mapping = {
      ...readings,
      columns: {
        ...readings.columns,
        signal_pct: { parts: [{ column: "signal_pct" }], read: { as: "number", decimal: "point", unit: "decibel" } },
      },
    };
    expect(settled([["2026-03-04T10:00:00Z", "-1.5"]], decibel)).toMatchObject({
      ok: true,
      notes: [expect.stringContaining("below 0 dB")],
    });
  });
});

describe("a file with our column names", () => {
  const plain = (...rows: string[][]) => isPlainCanonical("readings", columns, rows);

  it("is plain with ISO times and decimal points, and foreign with other dates or commas", () => {
    expect(plain(["D1", "2026-03-04T10:00:00Z", "98.5"])).toBe(true);
    expect(plain(["D1", "04.03.2026 10:00", "98.5"])).toBe(false);
    expect(plain(["D1", "2026-03-04T10:00:00Z", "98"], ["D1", "2026-03-04T11:00:00Z", "98,5"])).toBe(false);
  });

  it("stays plain with a bad cell among good ones, which is then refused alone", () => {
    expect(plain(["D1", "2026-03-04T10:00:00Z", "98.5"], ["D1", "04.03.2026 10:00", "98,5"])).toBe(true);
    expect(plain(["D1", "soon", "much"])).toBe(true);
  });
});
