"use client";

import { useState } from "react";
import { Choice } from "@/app/imports/files/[jobId]/[position]/_parts/field";
import type { FilePreview } from "@/lib/services/preview-file";

const outcomeWords: Readonly<Record<FilePreview["rows"][number]["outcome"], string>> = {
  ready: "goes in",
  joins: "goes in, joined",
  waits: "waits",
  left_out: "left out",
  refused: "refused",
};

/** Rows of the file as they would be stored, or why they would not; the first ones and some that have problems. */
export function PreviewRows({ preview }: { preview: FilePreview }) {
  const [which, setWhich] = useState("all");
  const [chosen, setChosen] = useState<string | null>(null);
  const { rows, ours, draft, theirs, missing } = preview;
  // Before the needed columns are known, what was sent tells more than what would become of it.
  const asSent = chosen ?? (missing.length > 0 ? "theirs" : "ours");
  const shown = ours.flatMap(({ column }) => (draft.columns[column] && !steering.includes(column) ? [column] : []));
  const wanted = rows.filter(({ outcome }) => which === "all" || (outcome !== "ready" && outcome !== "joins"));
  const columns = asSent === "theirs" ? theirs.map(({ name }) => name) : shown;
  return (
    <div>
      <div className="mb-3 flex flex-wrap items-end gap-4">
        <Choice
          label="Rows"
          value={which}
          options={[
            { value: "all", text: `all ${rows.length} shown here` },
            { value: "not", text: "those that do not go in" },
          ]}
          onChange={setWhich}
        />
        <Choice
          label="Cells"
          value={asSent}
          options={[
            { value: "ours", text: "as they would be stored" },
            { value: "theirs", text: "as they were sent" },
          ]}
          onChange={setChosen}
        />
      </div>
      {wanted.length === 0 ? (
        <p className="text-soft">{rows.length === 0 ? "The file has no rows." : "Every row shown here goes in."}</p>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by keyboard
        <section className="max-h-[34rem] overflow-auto border-y border-ink" tabIndex={0} aria-label="Rows of the file">
          <table className="data-table rows-table">
            <caption className="sr-only">What becomes of the rows</caption>
            <thead>
              <tr>
                <th scope="col">Line</th>
                <th scope="col">Outcome</th>
                {columns.map((column) => (
                  <th key={column} scope="col">
                    <bdi>{column}</bdi>
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {wanted.map((row) => (
                <OneRow
                  key={row.line}
                  row={row}
                  columns={columns}
                  sent={asSent === "theirs"}
                  open={missing.length > 0}
                />
              ))}
            </tbody>
          </table>
        </section>
      )}
    </div>
  );
}

type Row = FilePreview["rows"][number];

// They steer what becomes of a row and are not stored.
const steering = ["row", "phase"];

function OneRow({
  row,
  columns,
  sent,
  open,
}: {
  row: Row;
  columns: readonly string[];
  sent: boolean;
  /** Whether a needed column is not known yet, which is said once above and not in every row. */
  open: boolean;
}) {
  return (
    <tr>
      <th scope="row" data-align="end">
        {row.line}
      </th>
      <td className="min-w-44">
        <span className={row.outcome === "refused" && !open ? "font-medium text-worse" : undefined}>
          {open ? "not yet" : outcomeWords[row.outcome]}
        </span>
        {row.reason && !open ? (
          <span className="block max-w-[36ch] text-xs break-words text-soft">{row.reason}</span>
        ) : null}
      </td>
      {columns.map((column, index) => {
        const { text, wrong } = sent ? { text: row.theirs[index] ?? "", wrong: false } : cellOf(row, column);
        return (
          <td key={column} data-wrong={wrong ? "" : undefined}>
            <bdi className="block max-w-[28ch] truncate" title={text.length > 28 ? text : undefined}>
              {text}
            </bdi>
          </td>
        );
      })}
    </tr>
  );
}

/** What will be stored in a column; of a row that does not go in, what stands there where nothing can be made of it. */
function cellOf({ cells, outcome }: Row, column: string): { text: string; wrong: boolean } {
  const cell = cells.find(({ ours }) => ours === column);
  if (!cell) return { text: "", wrong: false };
  const lost = outcome === "refused" || outcome === "left_out";
  return { text: lost ? cell.text || cell.sent : cell.text, wrong: cell.problem !== null };
}
