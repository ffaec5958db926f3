import type { Beginning } from "@/lib/import/table/find-separator";
import type { TextBlock } from "@/lib/services/import/text-lines";

const LINES = 250;
const CHARACTERS = 8_000_000;

/** The first lines of a text, from which its form is found out; past the line a sender chose for the header. */
export async function beginningOf(
  blocks: AsyncIterable<TextBlock>,
  { headerLine = 0 }: { headerLine?: number | undefined },
): Promise<Beginning> {
  const lines: string[] = [];
  const flawed = new Map<number, string>();
  let characters = 0;
  for await (const block of blocks) {
    for (const [index, line] of block.lines.entries()) {
      if (lines.length >= headerLine + LINES || characters > CHARACTERS)
        return { lines, flawed, whole: false, firstLine: 1 };
      const flaw = block.flawed?.get(index);
      if (flaw !== undefined) flawed.set(lines.length, flaw);
      lines.push(line);
      characters += line.length;
    }
  }
  return { lines, flawed, whole: true, firstLine: 1 };
}
