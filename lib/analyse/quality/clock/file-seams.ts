import type { ImportSpan } from "@/lib/analyse/quality/subject";
import { HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** A file that stands later (above 0) or earlier than its neighbours leave room for. */
export type MovedFile = { readonly importId: number; readonly importedAt: number; readonly minutes: number } & Pick<
  ImportSpan,
  "firstAt" | "lastAt"
>;

const LEAST_SEAMS = 4;
const USUAL_SHARE = 0.7;
const SLACK_MS = MINUTE_MS;
const LEAST_MS = 15 * MINUTE_MS;
const MOST_MS = 14 * HOUR_MS;

/**
 * Files moved as a whole, told by both their seams: files that follow each other leave the same time between them, and
 * one that stands an hour late leaves an hour more before it and an hour less behind it, where it disagrees with the
 * next. A multiple of a quarter of an hour up to 14 hours counts; at least five files must follow each other.
 *
 * @param imports - of one site, by their first reading
 */
export function movedFiles(imports: readonly ImportSpan[]): MovedFile[] {
  const files = followingFiles(imports);
  const seams = files.slice(1).map((file, index) => file.firstAt - (files[index]?.lastAt ?? 0));
  if (seams.length < LEAST_SEAMS) return [];
  const usual = medianInPlace(Float64Array.from(seams)) ?? 0;
  const near = seams.filter((seam) => Math.abs(seam - usual) <= SLACK_MS).length;
  const moved = files.flatMap((file, index): MovedFile[] => {
    const before = (seams[index - 1] ?? Number.NaN) - usual;
    const after = (seams[index] ?? Number.NaN) - usual;
    if (!(Math.abs(before) >= LEAST_MS && Math.abs(before) <= MOST_MS)) return [];
    if (!(Math.abs(before + after) <= SLACK_MS)) return [];
    const quarters = Math.round(before / LEAST_MS);
    if (Math.abs(before - quarters * LEAST_MS) > SLACK_MS) return [];
    // A window moved together with its file repeats what the neighbour said; only a moved clock disagrees with it.
    const neighbour = files[before > 0 ? index + 1 : index - 1];
    if (file.contested === 0 || !neighbour || neighbour.contested === 0) return [];
    const { importId, importedAt, firstAt, lastAt } = file;
    return [{ importId, importedAt, firstAt, lastAt, minutes: quarters * 15 }];
  });
  return near + 2 * moved.length >= USUAL_SHARE * seams.length ? moved : [];
}

/** Two files that follow each other and contradict each other where they meet. */
export type QuarrelledSeam = {
  readonly importId: number;
  readonly earlierId: number;
  readonly firstAt: number;
  readonly lastAt: number;
  readonly readings: number;
};

const LEAST_QUARRELS = 3;
const QUARREL_SHARE = 0.8;

/**
 * Seams at which a file begins up to 14 hours before the one before it ends, and says something else in at least eight
 * of ten readings there (of three or more) and nowhere else: one of the two is shifted.
 *
 * @param detectors - how many of the site send readings
 */
export function quarrelledSeams(
  imports: readonly ImportSpan[],
  { detectors, stepMs }: { detectors: number; stepMs: number },
): QuarrelledSeam[] {
  const files = followingFiles(imports);
  return files.flatMap((file, index): QuarrelledSeam[] => {
    const before = files[index - 1];
    if (!before) return [];
    const overlap = before.lastAt - file.firstAt;
    if (!(overlap >= 0 && overlap <= MOST_MS)) return [];
    const shared = detectors * (Math.floor(overlap / stepMs) + 1);
    const quarrels = Math.min(file.contested, before.contested);
    if (quarrels < LEAST_QUARRELS || quarrels < QUARREL_SHARE * shared || quarrels > shared) return [];
    const { importId, firstAt } = file;
    return [{ importId, earlierId: before.importId, firstAt, lastAt: before.lastAt, readings: quarrels }];
  });
}

// Files inside the time of an earlier one repeat or fill in and follow nobody.
function followingFiles(imports: readonly ImportSpan[]): ImportSpan[] {
  const files: ImportSpan[] = [];
  for (const file of imports) {
    const last = files.at(-1);
    if (!last || (file.lastAt > last.lastAt && file.firstAt > last.firstAt)) files.push(file);
  }
  return files;
}
