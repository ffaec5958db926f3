import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { ImportSpan, QualitySubject } from "@/lib/analyse/quality/subject";
import { lengthInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords } from "@/lib/analyse/wording";
import { DAY_MS } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

const kind = "late_files";
const LEAST_FILES = 5;
const TIMES_USUAL = 3;
const SIGMAS = 6;
const SERIOUS_MS = 30 * DAY_MS;

type Lag = { readonly file: ImportSpan; readonly lagMs: number };

/** How long after its newest reading each import of the site came, and which came much later than usual. */
export function lateFiles({ imports, site }: QualitySubject): QualityCheck {
  const rule = `An import is late when it came more than a day, ${TIMES_USUAL} times and ${SIGMAS} robust standard deviations of the usual time after its newest reading. One that brings nothing newer than was there fills in and is never late; the first brings the past and is left out.`;
  const lags = advancing(imports);
  const looked = `${countInWords(imports.length, "import")} with readings, ${lags.length} of them with newer ones than before`;
  const about = { kind, rule, looked } as const;
  if (lags.length < LEAST_FILES) {
    return tooLittle(
      `${countInWords(lags.length, "import")} after the first brought newer readings; ${LEAST_FILES} are needed to know what is usual.`,
      about,
    );
  }
  const usual = medianInPlace(Float64Array.from(lags, ({ lagMs }) => lagMs)) ?? 0;
  const spread = medianInPlace(Float64Array.from(lags, ({ lagMs }) => Math.abs(lagMs - usual))) ?? 0;
  const limit = Math.max(usual + DAY_MS, TIMES_USUAL * usual, usual + SIGMAS * 1.4826 * spread);
  const late = lags.filter(({ lagMs }) => lagMs > limit);
  const zone = site.site.timeZone;
  const said = `Files usually come ${lengthInWords(usual)} after their newest reading`;
  return checkOf(
    late.map((one) => noteOf(one, { usual, zone })),
    {
      ...about,
      fine: `${said}; none came much later.`,
      found: `${said}; ${late.length} of ${lags.length} came much later.`,
    },
  );
}

function advancing(imports: readonly ImportSpan[]): Lag[] {
  let newest = -Infinity;
  const lags: Lag[] = [];
  for (const file of [...imports].sort((a, b) => a.importedAt - b.importedAt || a.importId - b.importId)) {
    if (file.lastAt <= newest) continue;
    if (newest > -Infinity) lags.push({ file, lagMs: file.importedAt - file.lastAt });
    newest = file.lastAt;
  }
  return lags;
}

function noteOf({ file, lagMs }: Lag, { usual, zone }: { usual: number; zone: string }): QualityNote {
  return {
    kind,
    detectorId: null,
    serious: lagMs > SERIOUS_MS,
    short: `a file came ${lengthInWords(lagMs)} late`,
    sentence: `Import ${file.importId} came on ${dayInWords(file.importedAt, zone)}, ${lengthInWords(lagMs)} after its newest reading, where ${lengthInWords(usual)} is usual.`,
    startAt: file.lastAt,
    endAt: file.importedAt,
    limits: [],
  };
}
