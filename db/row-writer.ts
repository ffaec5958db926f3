import { and, asc, eq, type SQL, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { detectorShelf, eventShelf, keysOfUnit, type Shelf, siteShelf, workShelf } from "@/db/row-shelves";
import { imports, rowClaims } from "@/db/schema/index";
import type { TableRow } from "@/lib/records/canonical-row";

/** What became of a row that an import sent; `stored` is the record that stood there when they differ. */
export type RowOutcome =
  | { readonly outcome: "accepted" }
  | { readonly outcome: "duplicate" }
  | { readonly outcome: "conflict" | "replaced"; readonly stored: TableRow };

/** Writes rows of sites, detectors, events and work, and remembers which import said what of them. */
export type RowWriter = {
  /** Stores the row unless one of the same key stands there; a differing one gives way only when the import replaces. */
  claim(row: TableRow, by: { importId: number; replaces: boolean }): RowOutcome;
  /** Takes back all that an import said of rows of one kind; gives the keys of rows nobody vouches for any more. */
  withdraw(kind: TableRow["kind"], importId: number): number[];
  /** Takes back all that any import said of detectors at these sites; also gives what was said, in that order. */
  withdrawDetectorsAt(siteIds: readonly string[]): {
    orphans: number[];
    withdrawn: { importId: number; row: TableRow }[];
  };
  /** Removes a row that no claim stands for. */
  remove(kind: TableRow["kind"], key: number): void;
};

const { placeholder } = sql;

/** The writer of a unit. */
export function rowWriter(unit: Store): RowWriter {
  const shelf = shelvesOf(unit);
  const claims = claimStatements(unit);
  const deleteClaims = (kind: TableRow["kind"], which: SQL) =>
    unit.db
      .delete(rowClaims)
      .where(and(eq(rowClaims.kind, kind), which))
      .returning({ at: rowClaims.key, key: rowClaims.rowKey, importId: rowClaims.importId, row: rowClaims.row })
      .all()
      .toSorted((one, other) => one.at - other.at);
  /** Gives rows whose claims changed the values that the claims left to them say; the keys of those with none left. */
  const settle = (kind: TableRow["kind"], gone: readonly { key: number; row: TableRow }[]): number[] =>
    [...new Map(gone.map(({ key, row }) => [key, row]))].flatMap(([key, row]) => {
      const left = claims.left.all({ kind, rowKey: key });
      const rightful = left.reduce<TableRow | null>((at, one) => (at === null || one.replaces ? one.row : at), null);
      if (rightful === null) return [key];
      const stored = shelf.find(row)?.row;
      if (!stored || !sameRow(stored, rightful)) shelf.update(key, rightful);
      return [];
    });
  return {
    claim(row, { importId, replaces }) {
      const found = shelf.find(row);
      const key = found?.key ?? shelf.insert(row);
      const values = { importId, kind: row.kind, rowKey: key, row };
      if (replaces) claims.replace.run(values);
      else claims.keep.run(values);
      if (!found) return { outcome: "accepted" };
      if (sameRow(found.row, row)) return { outcome: "duplicate" };
      if (!replaces) return { outcome: "conflict", stored: found.row };
      shelf.update(key, row);
      return { outcome: "replaced", stored: found.row };
    },
    withdraw: (kind, importId) => settle(kind, deleteClaims(kind, eq(rowClaims.importId, importId))),
    withdrawDetectorsAt(siteIds) {
      const named = sql`json_extract(${rowClaims.row}, '$.record.siteId') in (select value from json_each(${JSON.stringify(siteIds)}))`;
      const withdrawn = deleteClaims("detectors", named);
      return { orphans: settle("detectors", withdrawn), withdrawn };
    },
    remove: (kind, key) => shelf.remove(kind, key),
  };
}

/** Whether two records of one kind agree in every value. */
export function sameRow(one: TableRow, other: TableRow): boolean {
  const values: Record<string, unknown> = { ...other.record };
  return one.kind === other.kind && Object.entries(one.record).every(([name, value]) => values[name] === value);
}

function claimStatements({ db }: Store) {
  const insert = () =>
    db.insert(rowClaims).values({
      importId: placeholder("importId"),
      kind: placeholder("kind"),
      rowKey: placeholder("rowKey"),
      row: placeholder("row"),
    });
  const target = [rowClaims.kind, rowClaims.rowKey, rowClaims.importId];
  return {
    // Of what one import says of one row, the first counts, or the last when it replaces: as its rows are taken in.
    keep: insert().onConflictDoNothing().prepare(),
    replace: insert()
      .onConflictDoUpdate({ target, set: { row: sql`excluded.row` } })
      .prepare(),
    left: db
      .select({ row: rowClaims.row, replaces: imports.replaces })
      .from(rowClaims)
      .innerJoin(imports, eq(imports.id, rowClaims.importId))
      .where(and(eq(rowClaims.kind, placeholder("kind")), eq(rowClaims.rowKey, placeholder("rowKey"))))
      .orderBy(asc(rowClaims.key))
      .prepare(),
  };
}

/** The four shelves behind one row type; the switch on the kind is what keeps record and shelf together. */
function shelvesOf(unit: Store) {
  const keys = keysOfUnit(unit);
  const shelves = {
    sites: siteShelf(unit),
    detectors: detectorShelf(unit, keys),
    events: eventShelf(unit, keys),
    work: workShelf(unit, keys),
  };
  const on = <Result>(row: TableRow, use: <Rec>(shelf: Shelf<Rec>, record: Rec) => Result): Result => {
    switch (row.kind) {
      case "sites":
        return use(shelves.sites, row.record);
      case "detectors":
        return use(shelves.detectors, row.record);
      case "events":
        return use(shelves.events, row.record);
      case "work":
        return use(shelves.work, row.record);
    }
  };
  return {
    find(row: TableRow): { key: number; row: TableRow } | null {
      switch (row.kind) {
        case "sites":
          return wrap(shelves.sites.find(row.record), (record) => ({ kind: "sites", record }));
        case "detectors":
          return wrap(shelves.detectors.find(row.record), (record) => ({ kind: "detectors", record }));
        case "events":
          return wrap(shelves.events.find(row.record), (record) => ({ kind: "events", record }));
        case "work":
          return wrap(shelves.work.find(row.record), (record) => ({ kind: "work", record }));
      }
    },
    insert: (row: TableRow) => on(row, (shelf, record) => shelf.insert(record)),
    update: (key: number, row: TableRow) => on(row, (shelf, record) => shelf.update(key, record)),
    remove: (kind: TableRow["kind"], key: number) => shelves[kind].remove(key),
  };
}

function wrap<Rec>(found: { key: number; row: Rec } | null, as: (record: Rec) => TableRow) {
  return found ? { key: found.key, row: as(found.row) } : null;
}
