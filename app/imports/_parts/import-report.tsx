import type { ReactNode } from "react";
import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import { outcomeWords, readWords, valuesWords } from "@/app/imports/_parts/import-words";
import { sentence } from "@/app/imports/_parts/upload/description-words";
import type { ImportFileDetail, ImportFileView } from "@/lib/services/show-import";

/** A file with the page of its rows that did not go in. */
export type ReportedFile = ImportFileView & ImportFileDetail;

/** What became of each file: counts for all, and line by line what did not go in. */
export function ImportReport({
  importId,
  files,
  format,
}: {
  importId: number;
  files: readonly ReportedFile[];
  format: Format;
}) {
  return (
    <ol aria-label="Files" className="border-t border-ink">
      {files.map((file) => (
        <li key={file.fileKey} className="border-b border-rule py-5">
          <h3 className="flex flex-wrap items-baseline gap-x-3 font-semibold">
            <bdi className="min-w-0 break-words">{file.name}</bdi>
            <span className="text-sm font-normal text-soft">{file.kind ?? "kind not known"}</span>
          </h3>
          <FlowBar file={file} />
          <p className={file.failure ? "mt-1 text-worse" : "mt-1"}>{outcomeWords(file, format)}</p>
          {file.failure ? null : <p className="mt-1 text-sm text-soft">{readWords(file)}</p>}
          {file.note ? <p className="mt-1 text-sm text-soft">{sentence(file.note)}</p> : null}
          <Unmapped file={file} format={format} />
          <Refused importId={importId} file={file} format={format} />
          <Waiting file={file} format={format} />
          <Differing importId={importId} file={file} format={format} />
        </li>
      ))}
    </ol>
  );
}

/** The rows of a file as a beam: what went in is drawn through, what did not is broken off at its share. */
function FlowBar({ file }: { file: ReportedFile }) {
  if (file.rows === 0) return null;
  const good = (file.accepted + file.duplicates) / file.rows;
  return (
    <svg width="100%" height="14" aria-hidden="true" focusable="false" className="mt-2 block max-w-[34rem]">
      <line x1="0" x2="100%" y1="7" y2="7" stroke="var(--worse)" strokeWidth="3" strokeDasharray="3 5" />
      <line x1="0" x2={`${good * 100}%`} y1="7" y2="7" stroke="var(--paper)" strokeWidth="7" />
      <line x1="0" x2={`${good * 100}%`} y1="7" y2="7" stroke="var(--ink)" strokeWidth="3" />
      <rect x="0" y="2" width="10" height="10" fill="var(--ink)" />
    </svg>
  );
}

function Refused({ importId, file, format }: { importId: number; file: ReportedFile; format: Format }) {
  if (file.refused === 0 || file.rejects.length === 0) return null;
  const more = file.refused - file.rejects.length;
  return (
    <Part title={`Refused, first ${format.number(file.rejects.length)} of ${format.number(file.refused)}`}>
      <Table
        caption={`Refused rows of ${file.name}`}
        columns={[
          { key: "line", label: "Line" },
          { key: "column", label: "Column" },
          { key: "value", label: "Value" },
          { key: "reason", label: "Reason" },
        ]}
        rows={file.rejects.map((row, index) => ({
          key: `${row.line ?? 0}-${row.column ?? ""}-${index.toString()}`,
          cells: [
            row.line === null ? "file" : `${row.line}`,
            row.column ?? "row",
            <code key="value">{shortened(row.value ?? "")}</code>,
            row.reason,
          ],
        }))}
      />
      {file.kind ? (
        <p className="mt-3 text-sm">
          <a href={`/imports/${importId}/rejects?kind=${file.kind}`} download>
            Download the rows that did not go in
          </a>
          <span className="text-soft">
            {more > 0 ? `; it holds ${format.number(more)} more` : ""}. Mend them and import the file again.
          </span>
        </p>
      ) : null}
    </Part>
  );
}

function Unmapped({ file, format }: { file: ReportedFile; format: Format }) {
  if (file.unmapped.length === 0) return null;
  return (
    <Part title="Words without a meaning">
      <Table
        caption={`Words of ${file.name} without a meaning`}
        columns={[
          { key: "word", label: "Their word" },
          { key: "column", label: "Read for" },
          { key: "count", label: "Rows", align: "end" },
        ]}
        rows={file.unmapped.map(({ column, word, count }) => ({
          key: `${column} ${word}`,
          cells: [<bdi key="word">{shortened(word)}</bdi>, column, format.number(count)],
        }))}
      />
      <p className="mt-3 text-sm text-soft">
        Give them a meaning in the mapping and import the file again: what is in already stays as it is.
      </p>
    </Part>
  );
}

function Waiting({ file, format }: { file: ReportedFile; format: Format }) {
  if (file.waits.length === 0) return null;
  return (
    <Part title="Waiting">
      <ul className="text-sm">
        {file.waits.map(({ waitsFor, waitsForId, rows, firstLine }) => (
          <li key={`${waitsFor}-${waitsForId}`}>
            {format.number(rows)} {rows === 1 ? "row waits" : "rows wait"} for {waitsFor} <strong>{waitsForId}</strong>,
            first on line {format.number(firstLine)}; they go in by themselves when it arrives.
          </li>
        ))}
      </ul>
    </Part>
  );
}

function Differing({ importId, file, format }: { importId: number; file: ReportedFile; format: Format }) {
  if (file.differing.length === 0) return null;
  return (
    <Part title={`In conflict with stored rows, ${format.number(file.conflicts + file.replaced)}`}>
      <Table
        caption={`Rows of ${file.name} in conflict`}
        columns={[
          { key: "line", label: "Line" },
          { key: "row", label: "Row" },
          { key: "stored", label: "Stored" },
          { key: "sent", label: "Sent" },
          { key: "kept", label: "Kept" },
        ]}
        rows={file.differing.map((row) => ({
          key: `${row.line}`,
          cells: [
            `${row.line}`,
            valuesWords(row.identity),
            valuesWords(row.stored),
            valuesWords(row.sent),
            row.replaced ? "the one sent" : "the one stored",
          ],
        }))}
      />
      {file.kind ? (
        <p className="mt-3 text-sm">
          <a href={`/imports/${importId}/conflicts?kind=${file.kind}`} download>
            Download all that differ
          </a>
          <span className="text-soft">, each as it is stored and as it was sent.</span>
        </p>
      ) : null}
      <p className="mt-3 text-sm text-soft">
        {file.replaced > 0
          ? "The rows sent took the place of the stored ones, as you chose; taking this import back brings those back."
          : "The stored rows stay. If the ones sent are right, import the file again and choose “Take the new ones” beside its button (on the command line: --replace)."}
      </p>
    </Part>
  );
}

function Part({ title, children }: { title: string; children: ReactNode }) {
  return (
    <section aria-label={title} className="mt-4">
      <h4 className="mb-2 text-sm font-semibold">{title}</h4>
      {children}
    </section>
  );
}

function shortened(value: string): string {
  return value.length > 120 ? `${value.slice(0, 120)}…` : value;
}
