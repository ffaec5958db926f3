import { and, eq, sql } from "drizzle-orm";
import type { Store } from "@/db/client";
import { detectorColumns } from "@/db/queries/detectors";
import { eventColumns } from "@/db/queries/events";
import { siteColumns } from "@/db/queries/sites";
import { workColumns } from "@/db/queries/work";
import { detectors, events, sites, work } from "@/db/schema/index";
import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";

/** The rows of one table by their natural key; a shelf lives as long as the unit it was made for. */
export type Shelf<Row> = {
  find(row: Row): { key: number; row: Row } | null;
  insert(row: Row): number;
  update(key: number, row: Row): void;
  remove(key: number): void;
};

/** Integer keys of the users' ids, looked up once and remembered. */
export type Keys = { site(siteId: string): number; detector(detectorId: string): number };

const { placeholder } = sql;

/** Keys of sites and detectors of a unit; throws RangeError for an id that is not stored. */
export function keysOfUnit({ db }: Store): Keys {
  const site = db
    .select({ key: sites.key })
    .from(sites)
    .where(eq(sites.siteId, placeholder("id")))
    .prepare();
  const detector = db
    .select({ key: detectors.key })
    .from(detectors)
    .where(eq(detectors.detectorId, placeholder("id")))
    .prepare();
  return {
    site: remembered((id) => site.get({ id })?.key),
    detector: remembered((id) => detector.get({ id })?.key),
  };
}

/** The shelf of sites. */
export function siteShelf({ db }: Store): Shelf<Site> {
  const find = db
    .select({ key: sites.key, row: siteColumns })
    .from(sites)
    .where(eq(sites.siteId, placeholder("siteId")))
    .prepare();
  return {
    find: ({ siteId }) => find.get({ siteId }) ?? null,
    insert: (row) => db.insert(sites).values(row).returning({ key: sites.key }).get().key,
    update: (key, row) => void db.update(sites).set(row).where(eq(sites.key, key)).run(),
    remove: (key) => void db.delete(sites).where(eq(sites.key, key)).run(),
  };
}

/** The shelf of detectors. */
export function detectorShelf({ db }: Store, keys: Keys): Shelf<Detector> {
  const find = db
    .select({ key: detectors.key, row: detectorColumns })
    .from(detectors)
    .innerJoin(sites, eq(sites.key, detectors.siteKey))
    .where(eq(detectors.detectorId, placeholder("detectorId")))
    .prepare();
  const columnsOf = ({ siteId, ...row }: Detector) => ({ ...row, siteKey: keys.site(siteId) });
  return {
    find: ({ detectorId }) => find.get({ detectorId }) ?? null,
    insert: (row) => db.insert(detectors).values(columnsOf(row)).returning({ key: detectors.key }).get().key,
    update: (key, row) => void db.update(detectors).set(columnsOf(row)).where(eq(detectors.key, key)).run(),
    remove: (key) => void db.delete(detectors).where(eq(detectors.key, key)).run(),
  };
}

/** The shelf of events; prepared statements, since there are many. */
export function eventShelf({ db }: Store, keys: Keys): Shelf<Event> {
  const find = db
    .select({ key: events.key, row: eventColumns })
    .from(events)
    .innerJoin(detectors, eq(detectors.key, events.detectorKey))
    .where(
      and(
        eq(events.detectorKey, placeholder("detectorKey")),
        eq(events.beganAt, placeholder("beganAt")),
        eq(events.condition, placeholder("condition")),
      ),
    )
    .prepare();
  const insert = db
    .insert(events)
    .values({
      detectorKey: placeholder("detectorKey"),
      beganAt: placeholder("beganAt"),
      endedAt: placeholder("endedAt"),
      condition: placeholder("condition"),
      cause: placeholder("cause"),
      verdict: placeholder("verdict"),
    })
    .returning({ key: events.key })
    .prepare();
  const columnsOf = ({ detectorId, ...row }: Event) => ({ ...row, detectorKey: keys.detector(detectorId) });
  return {
    find: (row) => find.get(columnsOf(row)) ?? null,
    insert: (row) => insert.get(columnsOf(row)).key,
    update: (key, row) => void db.update(events).set(columnsOf(row)).where(eq(events.key, key)).run(),
    remove: (key) => void db.delete(events).where(eq(events.key, key)).run(),
  };
}

/** The shelf of work records; prepared statements, since there are many. */
export function workShelf({ db }: Store, keys: Keys): Shelf<Work> {
  const find = db
    .select({ key: work.key, row: workColumns })
    .from(work)
    .innerJoin(detectors, eq(detectors.key, work.detectorKey))
    .where(
      and(
        eq(work.detectorKey, placeholder("detectorKey")),
        eq(work.doneAt, placeholder("doneAt")),
        eq(work.task, placeholder("task")),
      ),
    )
    .prepare();
  const insert = db
    .insert(work)
    .values({
      detectorKey: placeholder("detectorKey"),
      doneAt: placeholder("doneAt"),
      task: placeholder("task"),
      result: placeholder("result"),
      signalBeforePct: placeholder("signalBeforePct"),
      signalAfterPct: placeholder("signalAfterPct"),
      durationMin: placeholder("durationMin"),
      // Raw, since the boolean column would write the null of an empty cell as false.
      reactive: sql`${placeholder("reactive")}`,
      told: placeholder("told"),
      interim: placeholder("interim"),
      note: placeholder("note"),
    })
    .returning({ key: work.key })
    .prepare();
  const columnsOf = ({ detectorId, ...row }: Work) => ({ ...row, detectorKey: keys.detector(detectorId) });
  return {
    find: (row) => find.get(columnsOf(row)) ?? null,
    insert: (row) =>
      insert.get({ ...columnsOf(row), reactive: row.reactive === null ? null : Number(row.reactive) }).key,
    update: (key, row) => void db.update(work).set(columnsOf(row)).where(eq(work.key, key)).run(),
    remove: (key) => void db.delete(work).where(eq(work.key, key)).run(),
  };
}

function remembered(lookUp: (id: string) => number | undefined): (id: string) => number {
  const known = new Map<string, number>();
  return (id) => {
    const key = known.get(id) ?? lookUp(id);
    if (key === undefined) throw new RangeError(`not in the store: ${id}`);
    known.set(id, key);
    return key;
  };
}
