import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { QualitySubject } from "@/lib/analyse/quality/subject";
import { lengthInWords, namesInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords } from "@/lib/analyse/wording";
import { lengthOf } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

const kind = "never_reports";
const LEAST_DAYS = 7;
const USUAL_TIMES = 10;

/** Detectors in service that never sent a reading, at sites that send them. */
export function neverReports(subject: QualitySubject): QualityCheck {
  const { members, intervalMs } = subject;
  const silent = members.filter(({ history }) => history.signal === null);
  const rule = `A detector at a site that sends readings has never reported when it was in service and observed for more than ${LEAST_DAYS} days, and for ${USUAL_TIMES} of the site's usual times between readings, without one.`;
  const looked = countInWords(members.length, "detector");
  const about = { kind, rule, looked } as const;
  if (silent.length === members.length) {
    return tooLittle("No detector of it sends readings, so that none can be missed.", about);
  }
  const least = Math.max(LEAST_DAYS * DAY_MS, USUAL_TIMES * (intervalMs ?? 0));
  const notes = silent.flatMap(({ history }): QualityNote[] => {
    const observed = lengthOf(history.exposure.observed);
    const from = history.exposure.observed[0]?.startAt;
    if (observed <= least || from === undefined) return [];
    const { detectorId } = history.detector;
    return [
      {
        kind,
        detectorId,
        serious: true,
        short: "never sent a reading",
        sentence: `${detectorId} has sent no reading in the ${lengthInWords(observed)} it was observed since ${dayInWords(from, history.site.timeZone)}, though its site sends them; its id may differ in the files.`,
        startAt: from,
        endAt: null,
        limits: ["signal_drift"],
      },
    ];
  });
  const names = namesInWords(notes.flatMap(({ detectorId }) => detectorId ?? []));
  return checkOf(notes, {
    ...about,
    fine: "Every detector long enough in service has sent readings.",
    found: `${countInWords(notes.length, "detector")} in service never sent a reading: ${names}.`,
  });
}
