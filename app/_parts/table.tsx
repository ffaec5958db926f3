import type { Route } from "next";
import Link from "next/link";
import type { ReactNode } from "react";

/** A column: `sort` gives its heading a link that sorts by it. */
export type Column = {
  readonly key: string;
  readonly label: string;
  /** What the column counts, under its name. */
  readonly note?: string;
  readonly align?: "start" | "end";
  readonly sort?: { readonly href: Route; readonly direction: "ascending" | "descending" | null };
};

/** A row: one cell for each column, the first one its heading. */
export type Row = { readonly key: string; readonly cells: readonly ReactNode[] };

/** Table with a head that stays, and a caption for those who hear it; on the phone it becomes a list when `stacks`. */
export function Table({
  caption,
  columns,
  rows,
  stacks = true,
}: {
  caption: string;
  columns: readonly Column[];
  rows: readonly Row[];
  stacks?: boolean;
}) {
  return (
    <table className="data-table" data-stacks={stacks ? "" : undefined}>
      <caption className="sr-only">{caption}</caption>
      <thead>
        <tr>
          {columns.map((column) => (
            <Heading key={column.key} column={column} />
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.key}>
            {columns.map((column, index) =>
              index === 0 ? (
                <th key={column.key} scope="row" data-align={column.align}>
                  {row.cells[index]}
                </th>
              ) : (
                <td key={column.key} data-align={column.align} data-label={column.label}>
                  {row.cells[index]}
                </td>
              ),
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const arrows = { ascending: " ↑", descending: " ↓" } as const;

function Heading({ column: { label, note, align, sort } }: { column: Column }) {
  const direction = sort?.direction ?? null;
  return (
    <th scope="col" data-align={align} aria-sort={sort ? (direction ?? "none") : undefined}>
      {sort ? (
        <Link
          href={sort.href}
          className="text-soft decoration-rule aria-[current]:text-ink"
          aria-current={direction ? "true" : undefined}
        >
          {label}
          {direction ? <span aria-hidden="true">{arrows[direction]}</span> : null}
        </Link>
      ) : (
        label
      )}
      {note ? <span className="block text-xs font-normal">{note}</span> : null}
    </th>
  );
}
