import { readdirSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { exampleRows } from "@/lib/report/api/examples";
import { createApiKey, listApiKeys, revokeApiKey } from "@/lib/services/api-keys";
import { NOW } from "../../fixtures/import-folder";
import { countImports, countReadings, openTestDoor, type Sent, send, type TestDoor } from "./api-door";
import { documentedBody } from "./documented";

let at: TestDoor;
beforeEach(async () => {
  at = await openTestDoor();
});
afterEach(() => at.close());

const header = "detector_id,read_at,signal_pct\n";
const good = `${header}D1,2025-01-01T00:00:00Z,99\nD2,2025-01-01T00:00:00Z,98.5\n`;
const jsonLines = { "content-type": "application/x-ndjson" } as const;

async function answerTo(sent: Sent) {
  const response = await send(at, sent);
  return { status: response.status, headers: response.headers, body: await documentedBody(response, sent.kind) };
}

describe("records sent with a key", () => {
  it.each(["readings", "events", "work"] as const)("go in as %s, in both forms, once", async (kind) => {
    const asLines = await answerTo({ kind, body: exampleRows[kind].jsonLines, headers: jsonLines });
    expect(asLines).toMatchObject({ status: 200, body: { kind, rows: 2, accepted: 2, errors: [], moreErrors: 0 } });
    const asCsv = await answerTo({ kind, body: exampleRows[kind].csv });
    // The same rows in the other form are the same rows.
    expect(asCsv).toMatchObject({ status: 200, body: { rows: 2, accepted: 0, duplicates: 2, conflicts: 0 } });
  });

  it("are answered row by row: line, column, value and reason of each that did not go in", async () => {
    await answerTo({ body: good });
    const { status, body } = await answerTo({
      body: `${header}D1,2025-01-01T00:00:00Z,97\nD1,2025-01-02T00:00:00Z,401\nD1,2025-01-03T00:00:00Z,96\n`,
    });
    expect(status).toBe(200);
    expect(body).toMatchObject({ rows: 3, accepted: 1, conflicts: 1, refused: 1, moreErrors: 0 });
    expect(body.errors).toEqual([
      { line: 2, column: "signal_pct", value: "97", reason: expect.stringMatching(/stored with other values.*99/) },
      { line: 3, column: "signal_pct", value: "401", reason: expect.stringContaining("outside 0..400") },
    ]);
    const replaced = await answerTo({ query: "?replace=yes", body: `${header}D1,2025-01-01T00:00:00Z,97\n` });
    expect(replaced.body).toMatchObject({ accepted: 1, replaced: 1, conflicts: 0, errors: [] });
  });

  it("list a hundred errors and count the others", async () => {
    const rows = Array.from({ length: 250 }, (_, index) => `D1,2025-01-01T00:00:00Z,${401 + index}\n`).join("");
    const { status, body } = await answerTo({ body: header + rows });
    expect(status).toBe(422);
    expect(body).toMatchObject({ type: "/api/v1/problems/nothing-usable", rows: 250, refused: 250, moreErrors: 150 });
    expect(body.errors.map(({ line }: { line: number }) => line)).toEqual(Array.from({ length: 100 }, (_, n) => n + 2));
  });

  it("of a detector of another site are refused just as those of one that does not exist, and never wait", async () => {
    const { body } = await answerTo({
      body: `${header}D3,2025-01-01T00:00:00Z,99\nD9,2025-01-01T00:00:00Z,99\nD1,2025-01-01T00:00:00Z,99\n`,
    });
    expect(body).toMatchObject({ rows: 3, accepted: 1, refused: 2, waiting: 0 });
    const [foreign, unknown] = body.errors;
    expect({ ...foreign, line: 0, value: "" }).toEqual({ ...unknown, line: 0, value: "" });
    const { secret } = await createApiKey(at.owner, { name: "Other", scope: "site", scopeId: "S2" });
    expect((await answerTo({ secret, body: `${header}D3,2025-01-01T00:00:00Z,99\n` })).body).toMatchObject({
      accepted: 1,
    });
  });

  it("are taken packed, in chunks without a length, and in the charset that is named", async () => {
    const packed = await answerTo({ body: gzipSync(good), headers: { "content-encoding": "gzip" } });
    expect(packed.body).toMatchObject({ accepted: 2 });
    const stream = new Blob([good.replaceAll("2025", "2024")]).stream();
    expect((await answerTo({ body: stream })).body).toMatchObject({ accepted: 2 });
    const work = "detector_id;done_at;task;note\nD1;2025-03-01 10:00;clean;gr\u00fcn \u20ac\n";
    const bytes = Uint8Array.from(Buffer.from(work.replace("\u20ac", "\u0080"), "latin1"));
    const named = { "content-type": 'text/csv; charset="windows-1252"' };
    expect((await answerTo({ kind: "work", body: bytes, headers: named })).body).toMatchObject({ accepted: 1 });
    const note = at.owner.store.sqlite.prepare("SELECT note FROM work").pluck().get();
    expect(note).toBe("gr\u00fcn \u20ac");
  });

  it("note when the key was used, at most once a minute", async () => {
    await answerTo({ body: good });
    at.clock.aheadMs = 59_000;
    await answerTo({ body: good });
    expect((await listApiKeys(at.owner))[0]?.lastUsedAt).toBe(NOW);
    at.clock.aheadMs = 61_000;
    await answerTo({ body: good });
    expect((await listApiKeys(at.owner))[0]?.lastUsedAt).toBe(NOW + 61_000);
  });

  it("leave nothing in the folder where bodies wait", async () => {
    await answerTo({ body: good });
    await answerTo({ body: "" });
    await answerTo({ body: gzipSync(good).subarray(0, 30), headers: { "content-encoding": "gzip" } });
    expect(readdirSync(at.door.stagingRoot)).toEqual([]);
  });
});

describe("a second try with the same Idempotency-Key", () => {
  const marked = { "idempotency-key": "batch-1" };

  it("gets the first answer byte for byte, and imports nothing", async () => {
    const first = await send(at, { body: good, headers: marked });
    const text = await first.text();
    const imports = countImports(at);
    const second = await send(at, { body: good, headers: marked });
    expect(second.status).toBe(200);
    expect(second.headers.get("idempotency-replayed")).toBe("true");
    expect(first.headers.get("idempotency-replayed")).toBeNull();
    expect(await second.text()).toBe(text);
    expect(countImports(at)).toBe(imports);
    // Packed or not, it is the same body.
    const packed = await send(at, { body: gzipSync(good), headers: { ...marked, "content-encoding": "gzip" } });
    expect(await packed.text()).toBe(text);
  });

  it("and other rows, or other wishes, is refused", async () => {
    await answerTo({ body: good, headers: marked });
    for (const other of [{ body: `${good}D1,2025-01-05T00:00:00Z,9\n` }, { body: good, query: "?replace=yes" }]) {
      const { status, body } = await answerTo({ ...other, headers: marked });
      expect({ status, type: body.type }).toEqual({ status: 409, type: "/api/v1/problems/idempotency-key-reused" });
    }
    const { secret } = await createApiKey(at.owner, { name: "Second", scope: "site", scopeId: "S1" });
    expect((await answerTo({ body: good, secret, headers: marked })).body).toMatchObject({ duplicates: 2 });
  });

  it("gets the first refusal as well, and a new answer once seven days have passed", async () => {
    const bad = `${header}D1,2025-01-01T00:00:00Z,500\n`;
    const first = await answerTo({ body: bad, headers: marked });
    const second = await answerTo({ body: bad, headers: marked });
    expect([first.status, second.status]).toEqual([422, 422]);
    expect(second.body).toEqual(first.body);
    at.clock.aheadMs = 7 * 86_400_000 + 1;
    const third = await answerTo({ body: bad, headers: marked });
    expect(third.headers.get("idempotency-replayed")).toBeNull();
    expect(third.body.import).toBeGreaterThan(first.body.import);
  });

  it("finds neither rows nor answer when the answer could not be kept: they stand or fall together", async () => {
    at.owner.store.sqlite.exec(
      "CREATE TRIGGER no_answers BEFORE INSERT ON api_answers BEGIN SELECT RAISE(ABORT, 'for this test'); END",
    );
    const failed = await answerTo({ body: good, headers: marked });
    expect(failed).toMatchObject({ status: 500, body: { type: "/api/v1/problems/unexpected-failure" } });
    expect([countReadings(at), countImports(at)]).toEqual([0, 1]);
  });

  it("at the same moment imports once", async () => {
    const answers = await Promise.all(Array.from({ length: 8 }, () => send(at, { body: good, headers: marked })));
    const texts = await Promise.all(answers.map((answer) => answer.text()));
    expect(new Set(texts).size).toBe(1);
    expect(countReadings(at)).toBe(2);
    expect(countImports(at)).toBe(2); // the sites and detectors, then this
  });
});

describe("a key", () => {
  it("that is missing, unknown, misspelt or revoked is answered alike", async () => {
    const revoked = await createApiKey(at.owner, { name: "Old", scope: "site", scopeId: "S1" });
    await revokeApiKey(at.owner, { id: revoked.key.id });
    const tries: Sent[] = [
      { secret: null },
      { secret: "rafterline_unknown" },
      { secret: `${at.secret}x` },
      { secret: revoked.secret },
      { secret: null, headers: { authorization: `Basic ${btoa(`x:${at.secret}`)}` } },
      { secret: null, headers: { cookie: `key=${at.secret}` } },
    ];
    const bodies = await Promise.all(tries.map(async (one) => (await answerTo({ ...one, body: good })).body));
    expect(bodies[0]).toMatchObject({ status: 401 });
    for (const body of bodies) expect(body).toEqual(bodies[0]);
    expect(countReadings(at)).toBe(0);
  });

  it("that is revoked while its rows wait for their turn stores nothing", async () => {
    let go = () => {};
    const held = at.door.room.inTurn(() => new Promise<void>((resolve) => (go = resolve)));
    const sending = send(at, { body: good });
    // Its key was good and its body is here.
    await vi.waitFor(() => expect(readdirSync(at.door.stagingRoot)).toHaveLength(1), { timeout: 10_000 });
    await revokeApiKey(at.owner, { id: 1 });
    go();
    await held;
    expect((await sending).status).toBe(401);
    expect([countReadings(at), countImports(at)]).toEqual([0, 1]);
  });
});
