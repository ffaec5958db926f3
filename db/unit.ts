import { setTimeout as sleep } from "node:timers/promises";
import { BUSY_TIMEOUT_MS, connect, type Store } from "@/db/client";
import { explainStoreError, isBusy } from "@/db/store-error";

/**
 * Runs `work` as one unit: all its changes are stored, or, when it throws or the process dies, none.
 *
 * Units of one process wait for each other. `work` is given a connection of its own, so that readers of the store see
 * the state before the unit until it ends; only a store in memory, which has one connection, shows it at once.
 *
 * @throws AppError conflict when another process is writing to the store, invalid_input when it is damaged, read-only or
 *   its disk full; whatever `work` throws
 */
export async function inUnit<Result>(store: Store, work: (unit: Store) => Promise<Result>): Promise<Result> {
  const turns = turnsOf(store);
  const before = turns.last;
  let done = () => {};
  turns.last = new Promise<void>((resolve) => {
    done = resolve;
  });
  await before;
  try {
    return await runUnit(store, work);
  } finally {
    done();
  }
}

/** Runs `work` so that its changes, and only these, are undone when it throws; for one file inside a unit. */
export async function inSavepoint<Result>(unit: Store, work: () => Promise<Result>): Promise<Result> {
  unit.sqlite.exec("SAVEPOINT part");
  try {
    const result = await work();
    unit.sqlite.exec("RELEASE part");
    return result;
  } catch (thrown) {
    if (unit.sqlite.inTransaction) unit.sqlite.exec("ROLLBACK TO part; RELEASE part");
    throw thrown;
  }
}

async function runUnit<Result>(store: Store, work: (unit: Store) => Promise<Result>): Promise<Result> {
  const unit = store.file === ":memory:" ? store : connect(store.file, { patience: store.patience });
  try {
    await begin(unit);
    const result = await work(unit);
    unit.sqlite.exec("COMMIT");
    return result;
  } catch (thrown) {
    if (unit.sqlite.inTransaction) unit.sqlite.exec("ROLLBACK");
    throw explainStoreError(thrown, unit.file);
  } finally {
    if (unit !== store) unit.close();
  }
}

/**
 * Begins to write, waiting while another process does. SQLite's own wait would stop everything else in this process too,
 * such as the answers of a server.
 */
async function begin(unit: Store): Promise<void> {
  const { limitMs, onWait } = unit.patience;
  const startedAt = performance.now();
  const waited = () => performance.now() - startedAt;
  let told = false;
  unit.sqlite.pragma("busy_timeout = 0");
  while (!begun(unit, { last: waited() >= limitMs })) {
    if (!told && waited() >= WORTH_TELLING_MS) {
      told = true;
      onWait?.();
    }
    await sleep(BUSY_STEP_MS);
  }
  unit.sqlite.pragma(`busy_timeout = ${BUSY_TIMEOUT_MS}`);
}

function begun(unit: Store, { last }: { last: boolean }): boolean {
  try {
    unit.sqlite.exec("BEGIN IMMEDIATE");
    return true;
  } catch (thrown) {
    if (last || !isBusy(thrown)) throw thrown;
    return false;
  }
}

const BUSY_STEP_MS = 25;
/** A wait that a person at a terminal would wonder about. */
const WORTH_TELLING_MS = 500;

type Turns = { last: Promise<void> };
const turnsByFile = new Map<string, Turns>();
const turnsInMemory = new WeakMap<Store, Turns>();

function turnsOf(store: Store): Turns {
  const known = store.file === ":memory:" ? turnsInMemory.get(store) : turnsByFile.get(store.file);
  if (known) return known;
  const turns = { last: Promise.resolve() };
  if (store.file === ":memory:") turnsInMemory.set(store, turns);
  else turnsByFile.set(store.file, turns);
  return turns;
}
