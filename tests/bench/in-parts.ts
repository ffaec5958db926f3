import { spawn } from "node:child_process";
import { createInterface } from "node:readline";

/** Which share of the work a process does: those places whose remainder by `of` is `part`. */
export type Part = { readonly part: number; readonly of: number };

/**
 * Does pieces of work by place, in this process or parted over child processes of the same command, and gives the
 * lines in the order of their places whichever way they came.
 *
 * @param part - set in a child: its pieces only
 */
export async function* inParts<Line>(
  count: number,
  { workers, part, work }: { workers: number; part: Part | null; work: (place: number) => Line },
): AsyncGenerator<Line> {
  if (part || workers <= 1) {
    for (let place = part?.part ?? 0; place < count; place += part?.of ?? 1) yield work(place);
    return;
  }
  const children = Array.from({ length: workers }, (_, index) => linesOfChild<Line>(`${index}/${workers}`));
  for (let place = 0; place < count; place += 1) {
    const next = await children[place % workers]?.next();
    if (!next || next.done) throw new Error(`a worker ended before piece ${place}`);
    yield next.value;
  }
}

/** The part named by "1/2"; null for none. @throws RangeError for anything else */
export function partOf(text: string | undefined): Part | null {
  if (text === undefined) return null;
  const [part = Number.NaN, of = Number.NaN] = text.split("/").map(Number);
  if (!(Number.isInteger(part) && Number.isInteger(of) && part >= 0 && part < of)) {
    throw new RangeError(`not a part: ${text}`);
  }
  return { part, of };
}

async function* linesOfChild<Line>(part: string): AsyncGenerator<Line> {
  const child = spawn(process.execPath, [...process.execArgv, ...process.argv.slice(1), "--part", part], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  for await (const text of createInterface({ input: child.stdout })) {
    const line: Line = JSON.parse(text);
    yield line;
  }
}
