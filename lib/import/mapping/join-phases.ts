import type { Layout } from "@/lib/import/header";
import type { JoinedRow } from "@/lib/import/mapping/mapped-row";
import type { SplitRecord } from "@/lib/import/split-records";
import type { Refusal } from "@/lib/records/outcome";

/** Events that may be open at one time; beyond it the one that has waited longest is given out as it is. */
export const OPEN_LIMIT = 50_000;
/** Causes that one detector may have open at a time in one condition; beyond it the oldest is given out as it is. */
const CAUSES_LIMIT = 20;

/** Events that are complete, and rows that end an event nobody began. */
export type JoinResult = {
  readonly joined: readonly JoinedRow[];
  readonly refused: readonly { readonly record: SplitRecord; readonly refusal: Refusal }[];
};

type Side = { readonly cells: readonly string[]; readonly records: readonly SplitRecord[] };
/** An event in the making: at least one of its sides is there. */
type Slot = { readonly key: string; readonly cause: string; readonly begin: Side | null; readonly end: Side | null };
type Output = { joined: JoinedRow[]; refused: { record: SplitRecord; refusal: Refusal }[] };

/**
 * Joins the rows that begin and end an event, of one detector and condition, into one canonical row.
 *
 * Rows come oldest first, or newest first when `order` is descending. A begin that comes again with the same values is
 * the same begin; one with another time leaves the first without an end. An end without a begin is refused. Every record
 * pushed comes out exactly once, after `end` at the latest.
 */
export class PhaseJoiner {
  private readonly slots = new Map<string, Slot[]>();
  private count = 0;
  private readonly places: Places;

  constructor(
    layout: Layout,
    private readonly options: { readonly order: "ascending" | "descending"; readonly limit?: number },
  ) {
    const place = (column: string) => layout.places.get(column) ?? -1;
    this.places = {
      detector: place("detector_id"),
      condition: place("condition"),
      began: place("began_at"),
      ended: place("ended_at"),
      cause: place("cause"),
    };
  }

  /** Takes the canonical cells of one row; gives what is complete by it. */
  push(
    { cells, phase }: { readonly cells: readonly string[]; readonly phase: "whole" | "begin" | "end" },
    record: SplitRecord,
  ): JoinResult {
    const output: Output = { joined: [], refused: [] };
    const side = { cells, records: [record] };
    const begins = phase === "begin" && (cells[this.places.ended] ?? "") === "";
    if (phase === "end") this.takeEnd(side, output);
    else if (begins) this.takeBegin(side, output);
    else output.joined.push(side);
    this.keepLimit(output);
    return output;
  }

  /** Gives out the events that are still open. */
  end(): JoinResult {
    const output: Output = { joined: [], refused: [] };
    for (const slots of this.slots.values()) for (const slot of slots) this.giveOut(slot, output);
    this.slots.clear();
    this.count = 0;
    return output;
  }

  private takeBegin(side: Side, output: Output): void {
    const [key, cause] = [this.keyOf(side), this.causeOf(side)];
    const same = this.find(key, (slot) => slot.begin !== null && sameCells(slot.begin.cells, side.cells));
    if (same) {
      this.replace(same, { ...same, begin: withRecords(same.begin, side) });
      return;
    }
    const ended = this.options.order === "descending" ? this.findOpen(key, cause, "begin") : undefined;
    const known = this.find(key, (slot) => slot.begin !== null && slot.cause === (cause || (ended?.cause ?? "")));
    if (known) this.remove(known, output);
    if (ended) this.replace(ended, { ...ended, begin: side, cause: cause || ended.cause });
    else this.add({ key, cause, begin: side, end: null }, output);
  }

  private takeEnd(side: Side, output: Output): void {
    const [key, cause] = [this.keyOf(side), this.causeOf(side)];
    const same = this.find(key, (slot) => slot.end !== null && sameCells(slot.end.cells, side.cells));
    if (same) {
      this.replace(same, { ...same, end: withRecords(same.end, side) });
      return;
    }
    if (this.options.order === "ascending") {
      const open = this.findOpen(key, cause, "end");
      if (open) this.replace(open, { ...open, end: side });
      else refuseEnd(side, output, this.places.began);
      return;
    }
    const known = this.find(key, (slot) => slot.cause === cause);
    if (known) this.remove(known, output);
    this.add({ key, cause, begin: null, end: side }, output);
  }

  /** The slot that lacks `side`: of the same cause, else one where either names none, the longest open first. */
  private findOpen(key: string, cause: string, side: "begin" | "end"): Slot | undefined {
    return (
      this.find(key, (slot) => slot[side] === null && slot.cause === cause) ??
      this.find(key, (slot) => slot[side] === null && (slot.cause === "" || cause === ""))
    );
  }

  private find(key: string, fits: (slot: Slot) => boolean): Slot | undefined {
    return this.slots.get(key)?.find(fits);
  }

  private add(slot: Slot, output: Output): void {
    const slots = [...(this.slots.get(slot.key) ?? []), slot];
    this.slots.set(slot.key, slots);
    this.count += 1;
    const [oldest] = slots;
    if (slots.length > CAUSES_LIMIT && oldest) this.remove(oldest, output);
  }

  private replace(slot: Slot, by: Slot): void {
    const slots = this.slots.get(slot.key) ?? [];
    this.slots.set(
      slot.key,
      slots.map((one) => (one === slot ? by : one)),
    );
  }

  private remove(slot: Slot, output: Output): void {
    const left = (this.slots.get(slot.key) ?? []).filter((one) => one !== slot);
    if (left.length === 0) this.slots.delete(slot.key);
    else this.slots.set(slot.key, left);
    this.count -= 1;
    this.giveOut(slot, output);
  }

  private keepLimit(output: Output): void {
    while (this.count > (this.options.limit ?? OPEN_LIMIT)) {
      const [oldest] = this.slots.values().next().value ?? [];
      if (!oldest) return;
      this.remove(oldest, output);
    }
  }

  private giveOut({ begin, end }: Slot, output: Output): void {
    if (begin === null) {
      if (end !== null) refuseEnd(end, output, this.places.began);
      return;
    }
    if (end === null) {
      output.joined.push(begin);
      return;
    }
    const { began, ended } = this.places;
    const cells = begin.cells.map((cell, place) => {
      if (place === ended) return end.cells[began] ?? "";
      return cell === "" ? (end.cells[place] ?? "") : cell;
    });
    output.joined.push({ cells, records: [...begin.records, ...end.records] });
  }

  private keyOf({ cells }: Side): string {
    return `${cells[this.places.detector] ?? ""}\u0000${cells[this.places.condition] ?? ""}`;
  }

  /** A cause that is not known says as little as none. */
  private causeOf({ cells }: Side): string {
    const cause = cells[this.places.cause] ?? "";
    return cause === "unknown" ? "" : cause;
  }
}

type Places = Readonly<Record<"detector" | "condition" | "began" | "ended" | "cause", number>>;

function refuseEnd({ cells, records }: Side, output: Output, began: number): void {
  for (const record of records) {
    output.refused.push({
      record,
      refusal: {
        column: null,
        value: cells[began] ?? null,
        reason:
          "ends an event whose begin is not in this file; send it together with the file that has the begin, or let the mapping leave such rows out",
      },
    });
  }
}

function withRecords(side: Side | null, { cells, records }: Side): Side {
  return { cells, records: [...(side?.records ?? []), ...records] };
}

function sameCells(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((cell, place) => cell === b[place]);
}
