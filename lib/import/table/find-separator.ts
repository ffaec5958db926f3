import { type LineBlock, RecordSplitter, type SplitRecord } from "@/lib/import/split-records";
import { type FoundHeader, findHeader } from "@/lib/import/table/find-header";
import type { Separator } from "@/lib/import/table/table-format";

/** The beginning of a table cut at one separator, and the header found in it. */
export type CutBeginning = {
  readonly separator: Separator;
  readonly records: readonly SplitRecord[];
  readonly header: FoundHeader;
};

/** The first lines of a text, and whether it has no more. */
export type Beginning = LineBlock & { readonly whole: boolean };

// In this order where nothing else decides: a comma stands in text and numbers more often than a semicolon does.
const candidates = ["\t", ";", ",", "|"] as const;

/**
 * Finds the separator of a table from its first lines, by cutting them at each and looking for a header and rows that fit.
 *
 * A header of our own decides at once. Otherwise a separator that gives a header wins, then the one that leaves more
 * numbers and moments as cells, so that a decimal comma is none, then the one whose header stands first. A table of
 * one column counts as separated by commas. `headerLine` is the line that a sender chose; undefined when it is to be found.
 */
export function findSeparator(beginning: Beginning, { headerLine }: { headerLine: number | undefined }): CutBeginning {
  const cuts = candidates.map((separator) => cutAt(separator, beginning, { headerLine }));
  const wide = cuts.filter(({ header }) => header.width > 1 || header.known);
  const [best] = wide.toSorted((a, b) => compare(a.header, b.header));
  return best ?? cutAt(",", beginning, { headerLine });
}

/** The first lines of a text cut at a chosen separator; a record that goes on past them is left out. */
export function cutAt(
  separator: Separator,
  { whole, ...block }: Beginning,
  { headerLine }: { headerLine: number | undefined },
): CutBeginning {
  const splitter = new RecordSplitter({ separator });
  const records = splitter.push(block);
  if (whole || records.length === 0) records.push(...splitter.end());
  return { separator, records, header: findHeader(records, { headerLine }) };
}

function compare(a: FoundHeader, b: FoundHeader): number {
  return (
    Number(b.known) - Number(a.known) ||
    Number(b.support >= FITS) - Number(a.support >= FITS) ||
    Number(b.named) - Number(a.named) ||
    b.values - a.values ||
    a.place - b.place ||
    b.support - a.support ||
    b.width - a.width
  );
}

/** Share of fitting rows below which a separator is only a last resort. */
const FITS = 0.6;
