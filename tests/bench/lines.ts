import { InvalidArgumentError } from "commander";

/** Prints one JSON line on standard output. */
export function printLine(line: unknown): void {
  process.stdout.write(`${JSON.stringify(line)}\n`);
}

/** Reads a whole number of at least `least` from an option. */
export function countFrom(least: number): (text: string) => number {
  return (text) => {
    const count = Number(text);
    if (!Number.isInteger(count) || count < least) throw new InvalidArgumentError(`a whole number from ${least} on`);
    return count;
  };
}

/** Reads whole numbers parted by commas from an option. */
export function countsFrom(text: string): number[] {
  return text.split(",").map(countFrom(1));
}
