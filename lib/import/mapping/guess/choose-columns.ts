import type { Candidate } from "@/lib/import/mapping/guess/candidates";
import { headerFit, headerForm, headerWords } from "@/lib/import/mapping/guess/header-words";
import { hasTradeWords, tradeWord } from "@/lib/import/mapping/guess/trade-words";
import { formOfColumn } from "@/lib/import/mapping/units";
import { columnsOf, type FileKind, fileKinds, requiredColumnsOf } from "@/lib/records/files";

/** Which candidate each column of ours is made of, in one kind of file, and how well all of it fits. */
export type Choice = {
  readonly kind: FileKind;
  readonly chosen: ReadonlyMap<string, Candidate>;
  readonly score: number;
};

/** Values of a column that are tried as words of the trade. */
const WORDS_TRIED = 40;
/** Columns that show the kind of a file by themselves. */
const telling: Readonly<Record<FileKind, readonly string[]>> = {
  sites: ["latitude", "longitude", "time_zone"],
  detectors: ["path_length_m", "bearing_deg", "alarm_threshold_pct", "height_m"],
  readings: ["signal_pct"],
  events: ["condition"],
  work: ["task"],
};

/** The kind of file that fits best, and its columns; the name of the file settles a tie. */
export function chooseColumns(candidates: readonly Candidate[], name: string): Choice {
  const choices = fileKinds.map((kind) => chooseFor(kind, candidates, name));
  const [best] = choices.toSorted((a, b) => b.score - a.score);
  return best ?? { kind: "events", chosen: new Map(), score: 0 };
}

function chooseFor(kind: FileKind, candidates: readonly Candidate[], name: string): Choice {
  const pairs = columnsOf(kind)
    .flatMap((column) => candidates.map((candidate) => ({ column, candidate, fit: fitOf(column, candidate) })))
    .filter(({ fit }) => fit > 0)
    .toSorted((a, b) => b.fit - a.fit);
  const chosen = new Map<string, Candidate>();
  const fits = new Map<string, number>();
  const taken = new Set<string>();
  for (const { column, candidate, fit } of pairs) {
    if (chosen.has(column) || candidate.columns.some((one) => taken.has(one.name))) continue;
    chosen.set(column, candidate);
    fits.set(column, fit);
    for (const one of candidate.columns) taken.add(one.name);
  }
  const required = requiredColumnsOf(kind);
  const found = required.reduce((sum, column) => sum + (fits.get(column) ?? -8), 0) / required.length;
  const shown = telling[kind].reduce((sum, column) => sum + (fits.get(column) ?? -8), 0) / telling[kind].length;
  const optional = [...fits].reduce((sum, [column, fit]) => sum + (required.includes(column) ? 0 : fit), 0);
  const named = headerForm(name).includes(kind.replace(/s$/, "")) ? 1 : 0;
  return { kind, chosen, score: found + shown + 0.1 * optional + named };
}

/** How well a candidate fits a column of ours: by its header, its contents, and not at all where these exclude it. */
function fitOf(column: string, candidate: Candidate): number {
  const known = headerWords[column];
  if (!known || candidate.form === "empty") return 0;
  const byName = Math.max(
    ...[candidate.name, ...candidate.columns.map((one) => one.name)].map((one) => fitName(column, one)),
  );
  // Ids may look like dates or times; a header that says what they are goes first.
  const surelyId = column.endsWith("_id") && byName >= 7;
  const contents = contentFit(column, candidate) ?? (surelyId ? 0 : null);
  if (contents === null) return 0;
  return byName === 0 && contents < 6 ? 0 : byName + contents;
}

function fitName(column: string, name: string): number {
  const known = headerWords[column];
  if (headerForm(name) === column.replaceAll("_", " ")) return 20;
  return known ? headerFit(name, known) : 0;
}

/** What the cells say: null when they exclude the column, 6 and more when they alone would do. */
function contentFit(column: string, candidate: Candidate): number | null {
  const { form } = candidate;
  switch (formOfColumn(column)) {
    case "moment":
      if (form === "moment") return column === "ended_at" ? 1 : 6;
      return form === "day" || form === "unix_seconds" || form === "unix_milliseconds" ? 0 : null;
    case "day":
      return form === "day" || form === "moment" ? 1 : null;
    case "clock":
      return form === "clock" ? 1 : null;
    case "number":
      return form === "number" ? 1 : null;
    case "text":
      return textFit(column, candidate);
  }
}

function textFit(column: string, { form, columns, composed }: Candidate): number | null {
  if (form === "moment" || form === "day" || form === "clock") return null;
  const [only] = columns;
  if (column.endsWith("_id")) return composed ? 4 : only && !only.manyValues && only.values.length === 1 ? 0 : 1;
  if (!hasTradeWords(column) || !only) return 0;
  if (composed) return null;
  const some = only.values.slice(0, WORDS_TRIED);
  const known = some.filter((value) => tradeWord(column, value) !== null).length;
  const share = some.length === 0 ? 0 : known / some.length;
  if (share === 0) return form === "number" ? null : -2;
  const needed = column === "condition" || column === "task";
  return needed && share >= 0.5 && form === "text" ? 6 * share : 2 * share;
}
