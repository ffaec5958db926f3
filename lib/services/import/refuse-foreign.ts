import { FileFlaw } from "@/lib/services/import/file-flaw";

const SAVE = "save the table as CSV or as an XLSX workbook";

const beginnings = [
  ["\u001f\u008b", "is packed twice; unpack it once"],
  ["%PDF", `is a PDF; ${SAVE}`],
  ["SQLite format 3", `is a database; ${SAVE}`],
  [
    "\u00d0\u00cf\u0011\u00e0\u00a1\u00b1\u001a\u00e1",
    `is an old or protected workbook; open it, take the password off, and ${SAVE}`,
  ],
  ["7z\u00bc\u00af\u0027\u001c", "is a 7z archive; unpack it and send the table in it"],
  ["Rar!\u001a\u0007", "is a RAR archive; unpack it and send the table in it"],
  ["\u00fd7zXZ\u0000", "is packed by xz; unpack it, or pack it by gzip"],
  ["\u0028\u00b5\u002f\u00fd", "is packed by Zstandard; unpack it, or pack it by gzip"],
  ["PAR1", `is a Parquet file; ${SAVE}`],
] as const;

/** Refuses, by its first bytes, a file that is something else than a table; throws FileFlaw that says what to do. */
export function refuseForeign(start: Buffer, { packed }: { packed: boolean }): void {
  const text = start.toString("latin1");
  const inside = packed ? "holds what " : "";
  for (const [magic, reason] of beginnings) {
    if (text.startsWith(magic)) throw new FileFlaw(inside + reason, { line: 1 });
  }
  if (/^BZh[1-9]1AY&SY/.test(text)) {
    throw new FileFlaw(`${inside}is packed by bzip2; unpack it, or pack it by gzip`, { line: 1 });
  }
  if (text.slice(257, 262) === "ustar") {
    throw new FileFlaw("is a tar archive; send each table in it as a file of its own", { line: 1 });
  }
  if (/^(\u00ef\u00bb\u00bf)?\s*<(!doctype|html|\?xml|table|workbook)\b/i.test(text)) {
    throw new FileFlaw(`${inside}is a web page or XML, whatever its name says; open it and ${SAVE}`, { line: 1 });
  }
}
