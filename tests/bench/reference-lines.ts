import { readdirSync } from "node:fs";
import { join } from "node:path";
import { runReferenceFile } from "@/tests/reference/run-reference";

/** One reference file's outcome; `worst` is the largest error in units of the file's own tolerance. */
export type ReferenceLine =
  | { readonly file: string; readonly cases: number; readonly within: number; readonly worst: number | null }
  | { readonly file: string; readonly error: string };

/** Works the reference files of a folder one by one, in the order of their names; a file that cannot be worked says why. */
export function* referenceLines(folder: string): Generator<ReferenceLine> {
  const files = readdirSync(folder)
    .filter((name) => name.endsWith(".json"))
    .sort();
  for (const file of files) yield lineOf(folder, file);
}

function lineOf(folder: string, file: string): ReferenceLine {
  try {
    const { cases, within, worst } = runReferenceFile(join(folder, file));
    // JSON has no Infinity: an error without bound is no number.
    return { file, cases, within, worst: Number.isFinite(worst) ? worst : null };
  } catch (error) {
    return { file, error: error instanceof Error ? error.message : String(error) };
  }
}
