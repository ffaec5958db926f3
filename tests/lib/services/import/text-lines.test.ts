import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type TextBlock, textLines } from "@/lib/services/import/text-lines";

async function linesOf(text: string, piece: number): Promise<[number, string][]> {
  const bytes = Buffer.from(text);
  async function* pieces() {
    for (let at = 0; at < bytes.length; at += piece) yield { data: bytes.subarray(at, at + piece), bytes: at + piece };
  }
  const blocks: TextBlock[] = [];
  for await (const block of textLines(pieces(), "utf-8")) blocks.push(block);
  return blocks.flatMap(({ firstLine, lines }) =>
    lines.map((line, index): [number, string] => [firstLine + index, line]),
  );
}

describe("the lines of a text", () => {
  // Longer than the beginning that is looked at for the kind of line end, and with returns enough to tell.
  const long = `${"x".repeat(70_000)}${"\r".repeat(60)}`;

  it("are counted as an editor counts them where carriage returns end most, wherever the pieces end", async () => {
    const part = fc.constantFrom("\r", "\r", "\r\n", "\n", "a", "é", '"');
    await fc.assert(
      fc.asyncProperty(fc.array(part, { maxLength: 40 }), fc.integer({ min: 1, max: 7 }), async (parts, tail) => {
        const start = `${long}\r\r\r`;
        const text = `${start}${parts.join("")}z`;
        // A first piece with the beginning, then small ones.
        const expected = text.split(/\r\n|\r|\n/).map((line, index) => [index + 1, line]);
        const bytes = Buffer.from(text);
        async function* pieces() {
          yield { data: bytes.subarray(0, start.length), bytes: 0 };
          for (let at = start.length; at < bytes.length; at += tail)
            yield { data: bytes.subarray(at, at + tail), bytes: 0 };
        }
        const lines: [number, string][] = [];
        for await (const block of textLines(pieces(), "utf-8")) {
          for (const [index, line] of block.lines.entries()) lines.push([block.firstLine + index, line]);
        }
        expect(lines).toEqual(expected);
      }),
      { numRuns: 300 },
    );
  });

  it("keep a carriage return that stands before a line feed, for the cells to be cut without it", async () => {
    expect(await linesOf("a\r\nb\r\nc", 2)).toEqual([
      [1, "a\r"],
      [2, "b\r"],
      [3, "c"],
    ]);
  });

  it("are each flawed alone when they hold other bytes, also where carriage returns and line feeds end them", async () => {
    const bytes = Buffer.concat([
      Buffer.from("a\r\rc"),
      Buffer.from([0xff]),
      Buffer.from("\nd\r\re"),
      Buffer.from([0xff]),
    ]);
    async function* pieces() {
      yield { data: bytes, bytes: bytes.length };
    }
    const flawed: string[] = [];
    for await (const { firstLine, lines, flawed: found } of textLines(pieces(), "utf-8")) {
      for (const index of found?.keys() ?? []) flawed.push(`${firstLine + index}: ${lines[index]}`);
    }
    expect(flawed).toEqual(["3: c\ufffd", "6: e\ufffd"]);
  });
});
