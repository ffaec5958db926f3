import type { Sample } from "@/lib/import/mapping/date-evidence";
import { type DecimalSign, readValue } from "@/lib/import/mapping/numbers";
import type { Conversion } from "@/lib/import/mapping/units";
import { shown } from "@/lib/import/quote";

/** Whether a cell of our column takes these plain digits: its range, and whether it must be whole. */
export type RangeCheck = (digits: string) => boolean;

/** What is known against one decimal sign: values it cannot read, and values it puts out of range that the other does not. */
export type Against = { first: Sample; count: number };

/** What the texts of one column say of its decimal sign, in constant memory. */
export class NumberEvidence {
  /** Values that only the other sign can read. */
  readonly unreadable = new Map<DecimalSign, Against>();
  /** Values that both can read, but only the other puts in the range of the column. */
  readonly outOfRange = new Map<DecimalSign, Against>();
  /** First value that the two signs read as different numbers, both in range. */
  doubtful: Sample | null = null;
  /** Values that were read with some sign, and how many of them are below zero. */
  numbers = 0;
  negative = 0;

  constructor(
    private readonly conversion: Conversion,
    private readonly inRange: RangeCheck,
  ) {}

  /** Takes the text of one row; empty ones say nothing. */
  take(text: string, line: number): void {
    if (text === "") return;
    // Whole numbers are the most frequent and are written alike.
    if (/^\d{1,15}$/.test(text)) {
      this.numbers += 1;
      return;
    }
    const sign = plainSign(text);
    if (sign !== null) {
      this.numbers += 1;
      if (text.startsWith("-")) this.negative += 1;
      note(this.unreadable, sign === "comma" ? "point" : "comma", { line, text });
      return;
    }
    const point = readValue(text, "point", this.conversion);
    const comma = readValue(text, "comma", this.conversion);
    if (!point.ok && !comma.ok) return;
    this.numbers += 1;
    if (/^\s*[-\u2212]/.test(text)) this.negative += 1;
    if (!point.ok || !comma.ok) {
      note(this.unreadable, point.ok ? "comma" : "point", { line, text });
      return;
    }
    if (point.digits === comma.digits) return;
    const [pointFits, commaFits] = [this.inRange(point.digits), this.inRange(comma.digits)];
    if (pointFits !== commaFits) note(this.outOfRange, pointFits ? "comma" : "point", { line, text });
    else this.doubtful ??= { line, value: shown(text) };
  }
}

/** The sign of a number with one or two decimals, which can be no mark of thousands; null for any other text. */
function plainSign(text: string): DecimalSign | null {
  const parts = /^-?\d{1,9}([.,])\d{1,2}$/.exec(text);
  return parts === null ? null : parts[1] === "," ? "comma" : "point";
}

function note(
  against: Map<DecimalSign, Against>,
  sign: DecimalSign,
  { line, text }: { line: number; text: string },
): void {
  const known = against.get(sign);
  if (known) known.count += 1;
  else against.set(sign, { first: { line, value: shown(text) }, count: 1 });
}
