import type { Store } from "@/db/client";
import { momentFor } from "@/lib/import/cross-check";
import { readHeader } from "@/lib/import/header";
import { canonicalMapping, isPlainCanonical, JUDGED_ROWS } from "@/lib/import/mapping/canonical-mapping";
import { TableEvidence } from "@/lib/import/mapping/evidence";
import { type Doubt, guessMapping } from "@/lib/import/mapping/guess";
import { type MappingDraft, unmadeColumns } from "@/lib/import/mapping/mapping";
import { type Question, settle } from "@/lib/import/mapping/settle";
import type { Table } from "@/lib/import/table/table";
import type { TableChoices } from "@/lib/import/table/table-format";
import type { FileKind } from "@/lib/records/files";
import { LiveDirectory } from "@/lib/services/import/live-directory";
import { openTable } from "@/lib/services/import/open-table";
import { type Sample, sampleTable } from "@/lib/services/import/sample-table";
import { sheetNames } from "@/lib/services/import/sheet-names";
import { withSpelledIds } from "@/lib/services/import/spell-ids";
import { withSuggestedWords } from "@/lib/services/import/suggest-words";
import { type Trial, tryMapping } from "@/lib/services/import/try-mapping";
import { type SavedMapping, savedMappingsFor } from "@/lib/services/mappings";
import type { Look } from "@/lib/services/staged-reading";

/** A draft and where it comes from; `fitting` are the saved mappings made for just the columns of the file. */
export type Chosen = {
  readonly draft: MappingDraft;
  readonly by: "draft" | "own_columns" | "saved" | "guess";
  readonly saved: SavedMapping | null;
  readonly fitting: readonly SavedMapping[];
  readonly doubts: readonly Doubt[];
  /** Whether an import reads the file so without being told. */
  readonly unasked: boolean;
};

/** A file opened and tried: what it is cut into, by which draft it is read, what that leaves open, and what it makes of the rows. */
export type LookedAt = {
  readonly table: Table;
  /** Names of the sheets of a workbook; empty for a file of another form. */
  readonly sheets: readonly string[];
  readonly sample: Sample;
  readonly chosen: Chosen;
  readonly questions: readonly Question[];
  readonly trial: Trial;
  /** Some ids of detectors that are known, to compare those of the file with. */
  readonly knownIds: readonly string[];
};

type Asked = { readonly name: string; readonly path: string; readonly look: Look; readonly saved: SavedMapping | null };
type Opened = Pick<LookedAt, "table" | "sheets" | "sample" | "chosen">;

/**
 * Looks at a file by a draft, by a saved mapping, or by what its columns and first rows suggest; nothing is stored.
 *
 * @throws FileFlaw when the file cannot be read as a table
 */
export async function lookAtFile(store: Store, asked: Asked): Promise<LookedAt> {
  const directory = new LiveDirectory();
  await directory.refresh(store);
  const opened = spelled(await openLikeliest(store, asked), directory);
  const { table, sample, chosen } = opened;
  const evidence = new TableEvidence(chosen.draft, table.columns);
  for (const record of sample.records) if (record.flaw === null) evidence.take(record.cells, record.line);
  const settled = settle(chosen.draft, evidence);
  const trial = tryMapping({
    mapping: settled.ok ? settled.mapping : chosen.draft,
    columns: table.columns,
    records: sample.records,
    momentOfDetector: (detectorId) => momentFor(detectorId, { directory, fold: "refuse" }),
    rowOrder: settled.ok ? settled.rowOrder : "ascending",
  });
  const knownIds = [...directory.detectors.keys()].slice(0, SHOWN_IDS);
  return { ...opened, questions: settled.ok ? [] : settled.questions, trial, knownIds };
}

/** A guess spells the ids of detectors as those that are known. */
function spelled(opened: Opened, { detectors }: LiveDirectory): Opened {
  const { chosen, table, sample } = opened;
  if (chosen.by !== "guess") return opened;
  const { records } = sample;
  const draft = withSpelledIds(chosen.draft, { columns: table.columns, records, known: detectors });
  return { ...opened, chosen: { ...chosen, draft } };
}

const SHOWN_IDS = 3;
/** Sheets that are looked at for the one that holds the table. */
const SHEETS_TRIED = 6;
/** Lines that are looked at for the one that names the columns. */
const LINES_TRIED = 10;

/** The file opened; where nothing was said of it, by the sheet and the line of names whose columns are understood best. */
async function openLikeliest(store: Store, asked: Asked): Promise<Opened> {
  const { look, saved } = asked;
  let best = await openOne(store, asked, look.draft?.table ?? saved?.mapping.table ?? look.table);
  if (look.draft || saved) return best;
  const attempt = async (choice: TableChoices) => {
    if (lackingIn(best) <= 1) return;
    const table = { ...best.chosen.draft.table, ...choice };
    const other = await openOne(store, { ...asked, look: { ...look, table } }, table).catch(() => null);
    // An import that is told nothing would read it the first way, so this one is to be confirmed.
    if (other && lackingIn(other) < lackingIn(best)) best = { ...other, chosen: { ...other.chosen, unasked: false } };
  };
  const sheets = look.table.sheet === undefined ? best.sheets.slice(0, SHEETS_TRIED) : [];
  for (const sheet of sheets.filter((name) => name !== best.table.format.sheet)) await attempt({ sheet });
  // Reading a long file again for each line would take too long.
  const lines = look.table.headerLine === undefined && best.sample.whole && best.table.format.form !== "json_lines";
  for (let line = 1; lines && line <= LINES_TRIED; line += 1) await attempt({ headerLine: line });
  return best;
}

/** How much of a file is not understood: needed columns that are not found, and whether what is found is a guess. */
function lackingIn({ chosen }: Opened): number {
  return unmadeColumns(chosen.draft).length + (chosen.by === "guess" ? 1 : 0);
}

async function openOne(store: Store, asked: Asked, choices: TableChoices): Promise<Opened> {
  const table = await openTable(asked.path, choices);
  const sample = await sampleTable(table);
  const sheets = await sheetNames(asked.path, table.format);
  return { table, sheets, sample, chosen: await choose(store, { ...asked, table, sample }) };
}

async function choose(
  store: Store,
  { table, sample, name, look, saved }: Asked & Pick<Opened, "table" | "sample">,
): Promise<Chosen> {
  const { columns } = table;
  const fitting = await savedMappingsFor(store, { columns });
  const found = { saved: null, fitting, doubts: [], unasked: false };
  if (look.draft) {
    return { ...found, draft: withSuggestedWords(look.draft, { columns, records: sample.records }), by: "draft" };
  }
  if (saved) return { ...found, draft: saved.mapping, by: "saved", saved };
  const rows = sample.records.flatMap(({ cells, flaw }) => (flaw === null ? [cells] : []));
  const header = readHeader(columns, { name });
  if (header.ok && (look.kind === undefined || look.kind === header.layout.kind)) {
    const { kind } = header.layout;
    const draft = canonicalMapping(kind, columns);
    // Judged by as many rows as an import judges it by.
    const plain = isPlainCanonical(kind, columns, rows.slice(0, JUDGED_ROWS));
    return { ...found, draft: cut(plain ? asItStands(draft) : draft, look), by: "own_columns", unasked: true };
  }
  const [only] = fitting;
  if (look.kind === undefined && only && fitting.length === 1) {
    return { ...found, draft: only.mapping, by: "saved", saved: only, unasked: true };
  }
  const { draft, doubts } = guessMapping({ columns, rows: rows.slice(0, GUESS_ROWS), name });
  return { ...found, draft: cut(ofKind(draft, look.kind), look), by: "guess", doubts };
}

const GUESS_ROWS = 2_000;

/** A draft with what was chosen of the format; one that understood nothing is offered as readings, the usual matter. */
function cut(draft: MappingDraft, { table, kind }: Look): MappingDraft {
  const empty = Object.keys(draft.columns).length === 0;
  return { ...draft, kind: empty ? (kind ?? "readings") : draft.kind, table: { ...draft.table, ...table } };
}

/** Every cell as it stands, which is how a file with our columns, dates and numbers is read. */
function asItStands(draft: MappingDraft): MappingDraft {
  const columns = Object.entries(draft.columns).map(([column, { parts }]) => {
    return [column, { parts, read: { as: "text" as const } }] as const;
  });
  return { ...draft, columns: Object.fromEntries(columns) };
}

const times: Readonly<Partial<Record<FileKind, string>>> = { readings: "read_at", events: "began_at", work: "done_at" };

/** A draft turned to another kind: what both kinds have stays, and so does the time. */
function ofKind(draft: MappingDraft, kind: FileKind | undefined): MappingDraft {
  if (kind === undefined || kind === draft.kind) return draft;
  const { detector_id, site_id, row, ...others } = draft.columns;
  const [from, to] = [times[draft.kind], times[kind]];
  const time = from === undefined || to === undefined ? undefined : others[from];
  const kept = { ...(detector_id && { detector_id }), ...(site_id && { site_id }), ...(row && { row }) };
  return { ...draft, kind, columns: { ...kept, ...(time && to !== undefined && { [to]: time }) } };
}
