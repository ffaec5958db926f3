import type { CauseRecord } from "@/lib/rank/visit-effects/cause-record";
import type { JudgedVisit } from "@/lib/rank/visit-effects/control-visits";
import { momentAt } from "@/lib/rank/visit-effects/features";
import { aftermathMs, windowAfter } from "@/lib/rank/visit-effects/past-visits";
import { pathAfter } from "@/lib/rank/visit-effects/path-after";
import { isKnownAt, shownAt, type Unvisited } from "@/lib/rank/visit-effects/unvisited-cells";
import type { WithoutVisit } from "@/lib/rank/visit-effects/without-visit";

/**
 * Past visits of a detector for one task each, with what followed and what was expected, for every cause its record
 * before the visit shows; visits with two tasks, without enough record, or after another that touched the cause are out.
 */
export function judgedVisits(
  record: CauseRecord,
  { model, touches, horizonDays }: { model: WithoutVisit } & Pick<Unvisited, "touches" | "horizonDays">,
): JudgedVisit[] {
  const { visits, history } = record;
  if (record.events.length === 0) return [];
  const { asOf } = history;
  return visits.flatMap((visit) => {
    const [task, second] = visit.tasks;
    if (task === undefined || second !== undefined || !isKnownAt(record, visit.at)) return [];
    const moment = momentAt(record, visit.at);
    const shown = shownAt(record, moment);
    if (shown.length === 0) return [];
    const path = pathAfter(record, moment, windowAfter(visit, { visits: [], asOf, horizonDays }));
    return shown.flatMap((place) => {
      const alike = visits.filter(({ tasks }) => tasks.some((one) => one === task || touches(one, place)));
      const since = visit.at - aftermathMs(horizonDays);
      if (alike.some(({ at }) => at >= since && at < visit.at)) return [];
      const span = windowAfter(visit, { visits: alike, asOf, horizonDays });
      const seen = record.events.filter(({ at }) => at >= span.startAt && at < span.endAt);
      return [{ task, place, seen, expected: model.expected(record, { place, moment, path, endAt: span.endAt }) }];
    });
  });
}
