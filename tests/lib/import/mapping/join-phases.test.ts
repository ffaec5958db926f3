import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { layoutOf } from "@/lib/import/header";
import { PhaseJoiner } from "@/lib/import/mapping/join-phases";

const layout = layoutOf("events", ["detector_id", "began_at", "ended_at", "condition", "cause"]);
type Phase = "whole" | "begin" | "end";
type Row = readonly [phase: Phase, detector: string, minute: number, cause?: string];
const at = (minute: number) => `2026-03-09T14:${String(minute).padStart(2, "0")}:00`;

function join(rows: readonly Row[], order: "ascending" | "descending", limit?: number) {
  const joiner = new PhaseJoiner(layout, limit === undefined ? { order } : { order, limit });
  const given = order === "ascending" ? rows : rows.toReversed();
  const results = [
    ...given.map(([phase, detector, minute, cause = ""], index) =>
      joiner.push(
        { cells: [detector, at(minute), "", "fault", cause], phase },
        { line: index + 2, cells: [], flaw: null },
      ),
    ),
    joiner.end(),
  ];
  const joined = results.flatMap((result) => result.joined);
  const refused = results.flatMap((result) => result.refused);
  return {
    events: joined
      .map(({ cells: [detector, began, ended, , cause] }) => [detector, began, ended, cause].join(" "))
      .toSorted(),
    refused,
    lines: [...joined.flatMap(({ records }) => records), ...refused.map(({ record }) => record)].map(
      ({ line }) => line,
    ),
  };
}

describe.each(["ascending", "descending"] as const)("rows that begin and end an event, %s in time", (order) => {
  it("become one event that ends when the second row says", () => {
    const { events, lines } = join(
      [
        ["begin", "D1", 1],
        ["begin", "D2", 2],
        ["end", "D1", 3],
        ["end", "D2", 4],
      ],
      order,
    );
    expect(events).toEqual([`D1 ${at(1)} ${at(3)} `, `D2 ${at(2)} ${at(4)} `]);
    expect(lines.toSorted()).toEqual([2, 3, 4, 5]);
  });

  it("leave an event open when no row ends it, and when it begins again before its end", () => {
    expect(join([["begin", "D1", 1]], order).events).toEqual([`D1 ${at(1)}  `]);
    const { events } = join(
      [
        ["begin", "D1", 1],
        ["begin", "D1", 5],
        ["end", "D1", 9],
      ],
      order,
    );
    expect(events).toEqual([`D1 ${at(1)}  `, `D1 ${at(5)} ${at(9)} `]);
  });

  it("are one begin when the panel prints the same one again", () => {
    const { events, lines } = join(
      [
        ["begin", "D1", 1],
        ["begin", "D1", 1],
        ["end", "D1", 9],
        ["end", "D1", 9],
      ],
      order,
    );
    expect(events).toEqual([`D1 ${at(1)} ${at(9)} `]);
    expect(lines.toSorted()).toEqual([2, 3, 4, 5]);
  });

  it("are refused, with what to do, when they end what nobody began", () => {
    const { events, refused } = join(
      [
        ["end", "D1", 1],
        ["begin", "D1", 2],
        ["end", "D1", 3],
        ["end", "D1", 4],
      ],
      order,
    );
    expect(events).toEqual([`D1 ${at(2)} ${at(3)} `]);
    expect(refused.map(({ refusal }) => refusal.value).toSorted()).toEqual([at(1), at(4)]);
    expect(refused[0]?.refusal.reason).toContain("send it together with the file that has the begin");
  });

  it("are told apart by the cause, where both rows name one", () => {
    const { events } = join(
      [
        ["begin", "D1", 1, "low_signal"],
        ["begin", "D1", 2, "power"],
        ["end", "D1", 3, "low_signal"],
        ["end", "D1", 4, "power"],
      ],
      order,
    );
    expect(events).toEqual([`D1 ${at(1)} ${at(3)} low_signal`, `D1 ${at(2)} ${at(4)} power`]);
    expect(
      join(
        [
          ["begin", "D1", 1, "power"],
          ["end", "D1", 3],
        ],
        order,
      ).events,
    ).toEqual([`D1 ${at(1)} ${at(3)} power`]);
    expect(
      join(
        [
          ["begin", "D1", 1, "power"],
          ["end", "D1", 3, "unknown"],
        ],
        order,
      ).events,
    ).toEqual([`D1 ${at(1)} ${at(3)} power`]);
  });

  it("come out exactly once each, in any interleaving and beyond the limit of open events", () => {
    const row = fc.tuple(
      fc.constantFrom<Phase>("begin", "end", "whole"),
      fc.constantFrom("D1", "D2", "D3"),
      fc.nat(9),
      fc.constantFrom("", "power", "low_signal", "unknown"),
    );
    fc.assert(
      fc.property(fc.array(row, { maxLength: 40 }), fc.integer({ min: 1, max: 5 }), (rows, limit) => {
        const lines = join(rows, order, limit).lines.toSorted((a, b) => a - b);
        expect(lines).toEqual(rows.map((_, index) => index + 2));
      }),
      { numRuns: 1_000 },
    );
  });
});

describe("the way the rows go in time", () => {
  it("does not change the events of a well-kept log", () => {
    const log = fc.array(fc.tuple(fc.constantFrom("D1", "D2", "D3"), fc.boolean()), { maxLength: 25 }).map((steps) => {
      const open = new Map<string, boolean>();
      return steps.flatMap(([detector, announcedTwice], index): Row[] => {
        const phase = open.get(detector) ? "end" : "begin";
        open.set(detector, phase === "begin");
        const row: Row = [phase, detector, index];
        return announcedTwice ? [row, row] : [row];
      });
    });
    fc.assert(
      fc.property(log, (rows) => {
        const [oldestFirst, newestFirst] = [join(rows, "ascending"), join(rows, "descending")];
        expect(oldestFirst.refused).toEqual([]);
        expect(newestFirst.events).toEqual(oldestFirst.events);
        expect(newestFirst.refused).toEqual([]);
      }),
    );
  });

  it("keeps whole events apart from those in two rows", () => {
    expect(
      join(
        [
          ["begin", "D1", 1],
          ["whole", "D1", 2],
          ["end", "D1", 3],
        ],
        "ascending",
      ).events,
    ).toEqual([`D1 ${at(1)} ${at(3)} `, `D1 ${at(2)}  `]);
  });
});
