import { readdirSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { compareCase } from "./kinds/compare";
import { distributionKinds } from "./kinds/distributions";
import { forecastKinds } from "./kinds/forecasts";
import type { Json } from "./kinds/json";
import type { Kind } from "./kinds/kind";
import { rateKinds } from "./kinds/rates";
import { regressionKinds } from "./kinds/regressions";
import { seasonKinds } from "./kinds/seasons";
import { slopeKinds } from "./kinds/slopes";
import { sunKinds } from "./kinds/sun";
import { survivalKinds } from "./kinds/survival";
import { trendKinds } from "./kinds/trends";

const KINDS: readonly Kind[] = [
  ...distributionKinds,
  ...rateKinds,
  ...trendKinds,
  ...seasonKinds,
  ...survivalKinds,
  ...slopeKinds,
  ...regressionKinds,
  ...forecastKinds,
  ...sunKinds,
];

/** Outcome of one reference file: cases, cases wholly within tolerance, the largest error in tolerances, what failed. */
export type ReferenceResult = {
  readonly file: string;
  readonly cases: number;
  readonly within: number;
  readonly figures: number;
  readonly worst: number;
  readonly failures: readonly string[];
};

/** Works one reference file with lib/statistics (and the sun). Fails when no kind knows the file. */
export function runReferenceFile(path: string): ReferenceResult {
  const file = basename(path);
  return runReference(file, JSON.parse(readFileSync(path, "utf8")));
}

/** Works the parsed content of a reference file; the name decides the kind before the structure does. */
export function runReference(file: string, json: Json): ReferenceResult {
  const kind = kindByName(file) ?? kindByStructure(json);
  if (kind === undefined) throw new Error(`no kind of reference knows ${file}`);
  const failures: string[] = [];
  let within = 0;
  let figures = 0;
  let worst = 0;
  const cases = kind.evaluate(json);
  for (const one of cases) {
    const compared = compareCase(one);
    figures += compared.length;
    for (const { strain } of compared) worst = Math.max(worst, strain);
    const missed = compared.filter(({ strain }) => !(strain <= 1));
    if (missed.length === 0 && compared.length > 0) within++;
    else if (missed.length === 0) failures.push(`${one.id}: nothing compared`);
    for (const { path: place, expected, actual } of missed) {
      failures.push(`${one.id} ${place}: ${JSON.stringify(expected)} expected, ${String(actual)} found`);
    }
  }
  return { file, cases: cases.length, within, figures, worst, failures };
}

/** Works every reference file of a folder, in the order of their names. */
export function runReferenceFolder(folder: string): ReferenceResult[] {
  const files = readdirSync(folder).filter((name) => name.endsWith(".json"));
  return files.sort().map((name) => runReferenceFile(join(folder, name)));
}

/** The kind whose longest file-name beginning fits. */
export function kindByName(file: string): Kind | undefined {
  const fitting = KINDS.flatMap((kind) => kind.prefixes.map((prefix) => ({ kind, prefix })))
    .filter(({ prefix }) => file.startsWith(prefix))
    .sort((a, b) => b.prefix.length - a.prefix.length);
  return fitting[0]?.kind;
}

/** The first kind that knows a file by how it is built. */
export function kindByStructure(json: Json): Kind | undefined {
  return KINDS.find((one) => one.looksLike(json));
}
