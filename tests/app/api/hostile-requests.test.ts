import { gzipSync } from "node:zlib";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { RateLimiter } from "@/app/_server/api/rate-limiter";
import { WaitingRoom } from "@/app/_server/api/waiting-room";
import { connect } from "@/db/client";
import { interfaceLimits } from "@/lib/services/api/interface";
import { NOW } from "../../fixtures/import-folder";
import { countImports, countReadings, openTestDoor, type Sent, send, type TestDoor } from "./api-door";
import { documentedBody } from "./documented";

let at: TestDoor;
beforeEach(async () => {
  at = await openTestDoor();
});
afterEach(() => at.close());

const header = "detector_id,read_at,signal_pct\n";
const row = "D1,2025-01-01T00:00:00Z,99\n";
const json = { "content-type": "application/x-ndjson" };

async function refusalOf(sent: Sent) {
  const response = await send(at, sent);
  const body = await documentedBody(response, "readings");
  return { status: response.status, name: String(body.type).split("/").at(-1), body, headers: response.headers };
}

const bytes = (size: number) => new Uint8Array(size).fill(0x61);

describe("a hostile or mistaken request", () => {
  it.each<[string, Sent, number, string]>([
    ["no body", {}, 400, "malformed-request"],
    ["an empty body", { body: "" }, 400, "malformed-request"],
    [
      "fewer bytes than announced",
      { body: header + row, headers: { "content-length": "999" } },
      400,
      "malformed-request",
    ],
    ["more bytes than announced", { body: header + row, headers: { "content-length": "9" } }, 400, "malformed-request"],
    ["a length that is no number", { body: row, headers: { "content-length": "-1" } }, 400, "malformed-request"],
    ["a packed body that is not", { body: row, headers: { "content-encoding": "gzip" } }, 400, "malformed-request"],
    ["a packed body that is cut", { body: gzipSync(bytes(99_999)).subarray(0, 60) }, 400, "malformed-request"],
    ["an unknown parameter", { query: "?replaces=yes", body: row }, 400, "malformed-request"],
    ["a parameter twice", { query: "?fold=first&fold=second", body: row }, 400, "malformed-request"],
    ["a wrong choice", { query: "?replace=perhaps", body: row }, 400, "malformed-request"],
    ["an idempotency key with blanks", { body: row, headers: { "idempotency-key": "a b" } }, 400, "malformed-request"],
    ["a kind that is not sent", { kind: "sites", body: row }, 404, "not-found"],
    ["a name of every object", { kind: "constructor", body: row }, 404, "not-found"],
    ["an unknown mapping", { query: "?mapping=none@3", body: row }, 404, "not-found"],
    ["more bytes than the limit", { body: bytes(interfaceLimits.bodyBytes + 1) }, 413, "too-large"],
    [
      "a length over the limit",
      { body: bytes(21_000_000), headers: { "content-length": "21000000" } },
      413,
      "too-large",
    ],
    ["a length beyond all measure", { body: row, headers: { "content-length": "99999999999" } }, 413, "too-large"],
    ["a small body that unpacks to much", { body: gzipSync(bytes(64_000_000)) }, 413, "too-large"],
    ["too many lines", { body: header + "\n".repeat(interfaceLimits.bodyLines + 1) }, 413, "too-large"],
    [
      "too many lines of an old system",
      { body: header + "\r".repeat(interfaceLimits.bodyLines + 1) },
      413,
      "too-large",
    ],
    ["no content type", { body: bytes(4), headers: { "content-type": null } }, 415, "unknown-media-type"],
    ["a form of a page", { body: row, headers: { "content-type": "multipart/form-data" } }, 415, "unknown-media-type"],
    [
      "an unknown charset",
      { body: row, headers: { "content-type": "text/csv;charset=utf-7" } },
      415,
      "unknown-media-type",
    ],
    ["an unknown packing", { body: row, headers: { "content-encoding": "br, gzip" } }, 415, "unknown-media-type"],
    ["a workbook", { body: "PK\u0003\u0004rest" }, 415, "unknown-media-type"],
    ["one line of 19 MB", { body: bytes(19_000_000) }, 422, "nothing-usable"],
    ["another kind of records", { kind: "work", body: header + row }, 422, "nothing-usable"],
    ["no table at all", { body: "%PDF-1.7 and so on" }, 422, "nothing-usable"],
    ["a list of JSON", { body: '[{"detector_id":"D1"}]', headers: json }, 422, "nothing-usable"],
  ])("with %s is refused by the problem that says so, and stores no row", async (_what, sent, status, name) => {
    expect(await refusalOf(sent)).toMatchObject({ status, name });
    expect(countReadings(at)).toBe(0);
  });

  it("with its key in the address is told to revoke it, and the answer does not repeat it", async () => {
    for (const query of [`?key=${at.secret}`, `?mapping=${at.secret}`]) {
      const { status, body } = await refusalOf({ query, body: header + row });
      expect(status).toBe(400);
      expect(body.detail).toContain("revoke");
      expect(JSON.stringify(body)).not.toContain(at.secret);
    }
  });

  it("too large and sent without a length still hears why", async () => {
    let left = 30;
    const stream = new ReadableStream<Uint8Array<ArrayBuffer>>({
      pull(controller) {
        if (left === 0) controller.close();
        else controller.enqueue(bytes(1_000_000));
        left -= 1;
      },
    });
    expect(await refusalOf({ body: stream })).toMatchObject({ status: 413, name: "too-large" });
    const broken = new ReadableStream<Uint8Array<ArrayBuffer>>({
      pull(controller) {
        controller.error(new Error("the line was cut"));
      },
    });
    expect(await refusalOf({ body: broken })).toMatchObject({ status: 400, name: "malformed-request" });
  });

  it("with bytes that are no text in its own charset loses only those rows, and says which", async () => {
    const body = Uint8Array.from(
      Buffer.concat([Buffer.from(`${header}D1,2025-01-01T00:00:00Z,9`), Buffer.from([0xff]), Buffer.from(`\n${row}`)]),
    );
    const response = await send(at, { body, headers: { "content-type": "text/csv; charset=utf-8" } });
    expect(await documentedBody(response)).toMatchObject({ rows: 2, accepted: 1, refused: 1, errors: [{ line: 2 }] });
  });

  it("may hold any bytes: each row is counted once, and nothing but a documented answer comes back", async () => {
    const line = fc.oneof(
      fc.constantFrom(row.trim(), "D2,2025-02-01T00:00:00Z,50", "D3,2025-01-01,1", '"', ",,", "D1;2;3", "\ufeff"),
      fc.string({ unit: "binary", maxLength: 40 }),
      fc.json({ maxDepth: 2 }),
    );
    const type = fc.constantFrom("text/csv", "text/csv; charset=utf-16", "application/x-ndjson");
    await fc.assert(
      fc.asyncProperty(fc.array(line, { maxLength: 8 }), fc.boolean(), type, async (lines, headed, media) => {
        const body = (headed ? header : "") + lines.join("\n");
        const response = await send(at, { body, headers: { "content-type": media } });
        expect([200, 400, 422]).toContain(response.status);
        const answer = await documentedBody(response);
        if (answer.rows === undefined) return;
        const { accepted, duplicates, conflicts, refused, waiting, leftOut, errors, moreErrors } = answer;
        expect(accepted + duplicates + conflicts + refused + waiting + leftOut).toBe(answer.rows);
        if (answer.rows > 0) expect(errors.length + moreErrors).toBe(refused + conflicts);
      }),
      { numRuns: 60 },
    );
  });
});

describe("many requests", () => {
  it("at once with overlapping rows lose none and double none", async () => {
    const hour = (index: number) => new Date(Date.UTC(2025, 0, 1) + index * 3_600_000).toISOString();
    // Fifty bodies of twenty rows, each shares its last ten with the first ten of the next: 510 different readings.
    const bodies = Array.from({ length: 50 }, (_, part) =>
      Array.from({ length: 20 }, (_, index) => `D1,${hour(part * 10 + index)},${90 + ((part * 10 + index) % 10)}\n`),
    );
    const answers = await Promise.all(bodies.map((rows) => send(at, { body: header + rows.join("") })));
    const counts = await Promise.all(answers.map((answer) => documentedBody(answer)));
    expect(answers.map(({ status }) => status)).toEqual(bodies.map(() => 200));
    expect(countReadings(at)).toBe(510);
    expect(counts.reduce((sum, { accepted }) => sum + accepted, 0)).toBe(510);
    expect(counts.reduce((sum, { duplicates }) => sum + duplicates, 0)).toBe(490);
    expect(at.owner.store.sqlite.pragma("integrity_check")).toEqual([{ integrity_check: "ok" }]);
  });

  it("of one key beyond its rate are told how long to wait, and another key is not held up", async () => {
    at.close();
    at = await openTestDoor({ burst: 3 });
    for (let count = 0; count < 3; count += 1) expect((await send(at, { body: header + row })).status).toBe(200);
    const { status, headers } = await refusalOf({ body: header + row });
    expect({ status, wait: headers.get("retry-after") }).toEqual({ status: 429, wait: "1" });
    at.clock.aheadMs = 1_000; // sixty a minute
    expect((await send(at, { body: header + row })).status).toBe(200);
    expect(at.door.limiter.take(99, NOW)).toBe(0);
  });

  it("beyond the places there are, or while another process writes, may come back later", async () => {
    at.close();
    at = await openTestDoor({ places: 0 });
    expect(await refusalOf({ body: header + row })).toMatchObject({ status: 503, name: "busy" });
    at.close();
    at = await openTestDoor();
    const other = connect(at.owner.store.file);
    other.sqlite.exec("BEGIN IMMEDIATE");
    const { status, name, headers, body } = await refusalOf({ body: header + row });
    expect({ status, name, wait: headers.get("retry-after") }).toEqual({ status: 503, name: "busy", wait: "10" });
    expect(JSON.stringify(body)).not.toContain(at.folder);
    other.sqlite.exec("ROLLBACK");
    other.close();
    expect(countImports(at)).toBe(1);
    expect((await send(at, { body: header + row })).status).toBe(200);
  });
});

describe("a server whose disk takes nothing", () => {
  it("says so, and has not kept a row", async () => {
    // A file where the folder should be.
    const door = { ...at.door, stagingRoot: at.owner.store.file };
    const body = await documentedBody(await send({ ...at, door }, { body: header + row }));
    expect(body).toMatchObject({ status: 503, type: "/api/v1/problems/no-room" });
    expect(countReadings(at)).toBe(0);
  });
});

describe("a store that cannot be written", () => {
  it("is no fault of the sender, who may try again later and learns no path of the server", async () => {
    const { context } = at.door;
    // A folder in place of the store's file: it opens for nobody.
    const door = { ...at.door, context: () => ({ ...context(), store: { ...at.owner.store, file: at.folder } }) };
    const response = await send({ ...at, door }, { body: header + row });
    const body = await documentedBody(response);
    expect(body).toMatchObject({ status: 503, type: "/api/v1/problems/no-room" });
    expect(JSON.stringify(body)).not.toContain(at.folder);
  });
});

describe("the bounds of the door", () => {
  it("fill again with time, never above the burst", () => {
    const limiter = new RateLimiter({ burst: 2, perMinute: 6 });
    expect([limiter.take(1, 0), limiter.take(1, 0), limiter.take(1, 0)]).toEqual([0, 0, 10]);
    expect([limiter.take(1, 9_000), limiter.take(1, 10_000)]).toEqual([1, 0]);
    expect(Array.from({ length: 3 }, () => limiter.take(1, 1e9))).toEqual([0, 0, 10]);
    expect(limiter.take(1, 0)).toBeGreaterThan(0); // a clock that is set back gives nothing
  });

  it("let work be done in the order it was asked for, and none that waited too long", async () => {
    let now = 0;
    const room = new WaitingRoom({ places: 5, waitMs: 100, clock: () => now });
    const order: number[] = [];
    const failing = room.inTurn(async () => {
      now = 101;
      order.push(1);
      throw new Error("of its own");
    });
    const late = room.inTurn(async () => order.push(2));
    await expect(failing).rejects.toThrow("of its own");
    await expect(late).rejects.toMatchObject({ problem: "busy" });
    await room.inTurn(async () => order.push(3));
    expect(order).toEqual([1, 3]);
  });
});
