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
  const sortable = columns.filter(({ sort }) => sort !== undefined);
  return (
    <>
      {stacks && sortable.length > 0 ? <SortLinks columns={sortable} /> : null}
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
    </>
  );
}

/** The sorting of the headings, for the phone, where the headings are gone. */
function SortLinks({ columns }: { columns: readonly Column[] }) {
  return (
    <p className="mb-4 flex flex-wrap gap-x-4 gap-y-1 text-sm md:hidden">
      <span className="text-soft">Sort by</span>
      {columns.map(({ key, label, sort }) =>
        sort ? (
          <Link
            key={key}
            href={sort.href}
            aria-current={sort.direction ? "true" : undefined}
            className="aria-[current]:font-semibold aria-[current]:text-ink"
          >
            {label}
            {sort.direction ? <span aria-hidden="true">{arrows[sort.direction]}</span> : null}
          </Link>
        ) : null,
      )}
    </p>
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
          className="text-soft decoration-faint aria-[current]:text-ink"
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
