import type { Judged } from "@/lib/analyse/find";
import type { DetectorHistory, SiteHistory } from "@/lib/analyse/history";
import { dayInWords } from "@/lib/analyse/wording";
import { lengthOf } from "@/lib/kernel/interval";
import { localDateOf, startOfDay } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import type { DetectorRecord } from "@/lib/rank/result";

/** Moments at which a detector's function was proved, oldest first; installation stands for the first. */
export function provedAt({ work, detector, site, installedAt }: DetectorHistory): number[] {
  const tests = work
    .filter(({ task, result }) => (task === "filter_test" || task === "block_test") && result !== "fail")
    .map(({ doneAt }) => doneAt);
  const service = detector.lastServiceOn === null ? [] : [startOfDay(detector.lastServiceOn, site.timeZone)];
  return [installedAt, ...service, ...tests].sort((a, b) => a - b);
}

/** Whole days by which the functional test is late at a moment; null when it is not. */
export function overdueDays(
  proved: readonly number[],
  { at, intervalDays }: { at: number; intervalDays: number },
): number | null {
  const last = proved.findLast((moment) => moment <= at);
  if (last === undefined) return null;
  const late = Math.floor((at - last) / DAY_MS) - intervalDays;
  return late > 0 ? late : null;
}

/** What is known of a detector, counted. */
export function detectorRecord(
  history: DetectorHistory,
  { judged, site, intervalDays }: { judged: Judged; site: SiteHistory; intervalDays: number },
): DetectorRecord {
  const { asOf, faults, ownAlarms, signal, work, exposure } = history;
  const since = asOf - 365 * DAY_MS;
  const recent = (moments: readonly { readonly beganAt: number }[]) =>
    moments.flatMap(({ beganAt }) => (beganAt >= since ? [beganAt] : []));
  const proved = provedAt(history);
  const tested = proved.length > 1 ? proved.at(-1) : undefined;
  return {
    observedDays: lengthOf(exposure.observed) / DAY_MS,
    faultEpisodes: recent(faults),
    alarmEpisodes: recent(ownAlarms),
    faultsAll: faults.length,
    alarmsAll: ownAlarms.length,
    latestSignalPct: signal?.latestSignalPct ?? null,
    latestReadAt: signal?.latestReadAt ?? null,
    lastTestOn: tested === undefined ? null : localDateOf(tested, history.site.timeZone),
    testOverdueDays: overdueDays(proved, { at: asOf, intervalDays }),
    realignments: work.filter(({ task }) => task === "realign").length,
    threat: judged.findings.find((finding) => finding.threat !== null)?.threat ?? null,
    notes: notesOf(history, site),
  };
}

function notesOf({ asOf, signal, exposure, fires, site }: DetectorHistory, { hearing }: SiteHistory): string[] {
  const notes: string[] = [];
  if (signal === null) notes.push("no readings");
  const silence = hearing.silent.at(-1);
  if (silence && silence.endAt >= asOf) notes.push(`site silent since ${dayInWords(silence.startAt, site.timeZone)}`);
  if (exposure.observed.length === 0) notes.push("never observed in service");
  const unjudged = fires.filter(({ verdict }) => verdict === null || verdict === "unknown").length;
  if (unjudged > 0) notes.push(`${unjudged} fire signal${unjudged === 1 ? "" : "s"} without a known cause`);
  return notes;
}
