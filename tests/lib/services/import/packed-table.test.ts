import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { readTable } from "@/tests/fixtures/read-table";

const text = `a;b\n${Array.from({ length: 2_000 }, (_, index) => `${index},5;${index * 7919}`).join("\n")}\n`;

describe("a table packed by gzip", () => {
  it("is read as the table in it, also when it is packed in several members", async () => {
    const plain = await readTable(text);
    const [one, two] = [text.slice(0, 5_000), text.slice(5_000)];
    for (const packed of [gzipSync(text), Buffer.concat([gzipSync(one), gzipSync(two)])]) {
      const table = await readTable(packed);
      expect(table.records).toEqual(plain.records);
      expect(table.format).toEqual({ ...plain.format, packed: true });
    }
  });

  it("is refused before its first row wherever it is cut", async () => {
    const packed = gzipSync(text);
    for (let length = 20; length < packed.length; length += Math.ceil(packed.length / 40)) {
      await expect(readTable(packed.subarray(0, length))).rejects.toThrow("ends before its packed part does");
    }
  });

  it("is refused before its first row whichever byte of it is damaged", async () => {
    const packed = gzipSync(text);
    for (let at = 12; at < packed.length; at += Math.ceil(packed.length / 60)) {
      const damaged = Buffer.from(packed);
      damaged[at] = (damaged[at] ?? 0) ^ 0x10;
      await expect(readTable(damaged)).rejects.toMatchObject({ name: "FileFlaw" });
    }
  });

  it("is refused when other bytes follow, when it is packed twice, and when it unpacks to far more than a table", async () => {
    await expect(readTable(Buffer.concat([gzipSync(text), Buffer.from("more")]))).rejects.toMatchObject({
      name: "FileFlaw",
    });
    await expect(readTable(gzipSync(gzipSync(text)))).rejects.toThrow("is packed twice");
    await expect(readTable(gzipSync(Buffer.alloc(80_000_000, "a,b\n")))).rejects.toThrow(
      "more than 250 times its size",
    );
  });
});
