import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalMapping } from "@/lib/import/mapping/canonical-mapping";
import { TableEvidence } from "@/lib/import/mapping/evidence";
import { calendarOrders } from "@/lib/import/mapping/mapping";
import { rowMapper } from "@/lib/import/mapping/row-mapper";
import { settle } from "@/lib/import/mapping/settle";

const columns = ["detector_id", "done_at", "task", "minutes"];
const work = canonicalMapping("work", columns);
const two = (value: number) => String(value).padStart(2, "0");

/** What a file of work is read as, row by row; null when it is asked about instead. */
function read(rows: readonly (readonly [doneAt: string, minutes: string])[]): string[][] | null {
  const cells = rows.map(([doneAt, minutes]) => ["D1", doneAt, "clean", minutes]);
  const evidence = new TableEvidence(work, columns);
  for (const [index, row] of cells.entries()) evidence.take(row, index + 2);
  const settled = settle(work, evidence);
  if (!settled.ok) return null;
  const mapper = rowMapper(settled.mapping, columns);
  return cells.map((row) => {
    const mapped = mapper.map(row);
    return mapped.outcome === "row" ? [mapped.cells[1] ?? "", mapped.cells[3] ?? ""] : ["refused"];
  });
}

describe("a file written in one way", () => {
  it("is read as it was meant, or asked about, whatever its dates", () => {
    const day = fc.record({
      y: fc.integer({ min: 2001, max: 2031 }),
      m: fc.integer({ min: 1, max: 12 }),
      d: fc.integer({ min: 1, max: 28 }),
    });
    const style = fc.record({
      order: fc.constantFrom(...calendarOrders),
      sign: fc.constantFrom("/", ".", "-"),
      short: fc.boolean(),
    });
    let decided = 0;
    fc.assert(
      fc.property(fc.array(day, { minLength: 1, maxLength: 12 }), style, (days, { order, sign, short }) => {
        const texts = days.map(({ y, m, d }) => {
          const year = short ? two(y % 100) : String(y);
          const parts = {
            year_first: [year, two(m), two(d)],
            day_first: [two(d), two(m), year],
            month_first: [two(m), two(d), year],
          };
          return [`${parts[order].join(sign)} 10:00`, "5"] as const;
        });
        const rows = read(texts);
        if (rows === null) return;
        decided += 1;
        expect(rows).toEqual(days.map(({ y, m, d }) => [`${y}-${two(m)}-${two(d)}T10:00:00`, "5"]));
      }),
      { numRuns: 1_500 },
    );
    // A test in which every file is asked about would prove nothing.
    expect(decided).toBeGreaterThan(300);
  });

  it("is read as it was meant, or asked about, whatever its numbers", () => {
    const value = fc.record({ whole: fc.nat(9_999), fraction: fc.option(fc.stringMatching(/^\d{1,3}$/), { nil: "" }) });
    let decided = 0;
    fc.assert(
      fc.property(
        fc.array(value, { minLength: 1, maxLength: 8 }),
        fc.boolean(),
        fc.boolean(),
        (values, comma, marked) => {
          const [sign, mark] = comma ? [",", "."] : [".", ","];
          const rows = read(
            values.map(({ whole, fraction }) => {
              const grouped = marked ? String(whole).replace(/\B(?=(\d{3})+$)/g, mark) : String(whole);
              return ["2026-03-04T10:00:00Z", `${grouped}${fraction === "" ? "" : sign + fraction}`] as const;
            }),
          );
          if (rows === null) return;
          decided += 1;
          expect(rows.map(([, minutes]) => minutes)).toEqual(
            values.map(({ whole, fraction }) => `${whole}${fraction === "" ? "" : `.${fraction}`}`),
          );
        },
      ),
      { numRuns: 1_500 },
    );
    expect(decided).toBeGreaterThan(300);
  });

  it("is asked about, never read, when its dates are of two orders and some rows show it", () => {
    const late = fc.integer({ min: 13, max: 28 });
    const early = fc.integer({ min: 1, max: 12 });
    fc.assert(
      fc.property(early, late, early, late, fc.array(fc.tuple(early, early)), (m, d, otherM, otherD, rest) => {
        const dates = [
          `${d}/${m}/2026 10:00`,
          `${otherM}/${otherD}/2026 10:00`,
          ...rest.map(([a, b]) => `${a}/${b}/2026 10:00`),
        ];
        expect(read(dates.map((date) => [date, "5"] as const))).toBeNull();
      }),
    );
  });
});
