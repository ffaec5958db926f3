import { patienceMs } from "@/lib/analyse/quality/checks/last-data";
import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { QualityMember, QualitySubject } from "@/lib/analyse/quality/subject";
import { namesInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords } from "@/lib/analyse/wording";
import { lengthOf, type Span, unionOf, within, without } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

const kind = "gaps";
const WINDOWS_DAYS = [90, 365] as const;
const TOLD_SHARE = 0.05;
const SERIOUS_SHARE = 0.2;

/** Days without readings in the last 90 and 365, of the whole site and of single detectors while the site was heard. */
export function gaps(subject: QualitySubject): QualityCheck {
  const { site, members, asOf } = subject;
  const sending = members.filter(({ history }) => history.signal !== null);
  const rule = `Longer without a reading than late data is a gap. Told are gaps of more than ${100 * TOLD_SHARE} % of the last 90 or 365 days; more than ${100 * SERIOUS_SHARE} % is serious. A detector's gaps are counted while its site was heard and it was in service.`;
  const from = Math.max(site.hearing.observedFrom, asOf - 365 * DAY_MS);
  const days = Math.max(0, Math.round((asOf - from) / DAY_MS));
  const looked = `${countInWords(sending.length, "detector")} with readings over the last ${countInWords(days, "day")}`;
  const about = { kind, rule, looked } as const;
  if (sending.length === 0) return tooLittle("It sends no readings, so that no gap can be seen.", about);
  const siteHeard = unionOf(sending.flatMap((member) => heardBy(member, patienceMs(subject))));
  const lastAt = siteHeard.at(-1)?.endAt ?? asOf;
  // Waiting for the next reading is no gap yet.
  const endAt = asOf - lastAt > patienceMs(subject) ? asOf : lastAt;
  const whole = { startAt: siteHeard[0]?.startAt ?? asOf, endAt };
  const lost = without([whole], siteHeard);
  const ofSite = noteOf(lost, {
    name: "The site",
    detectorId: null,
    inService: [whole],
    zone: site.site.timeZone,
    asOf,
  });
  const ofDetectors = sending.flatMap((member) => detectorGaps(member, { subject, siteHeard }));
  const notes = [...(ofSite ? [ofSite] : []), ...ofDetectors];
  const names = ofDetectors.flatMap(({ detectorId }) => detectorId ?? []);
  const alone =
    names.length > 0
      ? [`${countInWords(names.length, "detector")} have gaps of their own: ${namesInWords(names)}.`]
      : [];
  return checkOf(notes, {
    ...about,
    fine: `Readings came without gaps worth telling: ${lostDays(lost, { days: 365, asOf })} of the last ${days} days are without any.`,
    found: [...(ofSite ? [ofSite.sentence] : []), ...alone].join(" "),
  });
}

function detectorGaps(
  { history }: QualityMember,
  { subject, siteHeard }: { subject: QualitySubject; siteHeard: readonly Span[] },
): QualityNote[] {
  const { signal, detector, site, exposure } = history;
  const first = signal?.presence[0]?.startAt;
  if (signal === null || first === undefined) return [];
  const patience = patienceMs(subject, signal.usualIntervalMs);
  const own = unionOf(heardBy({ history }, patience));
  // What comes after its last reading is told as late data.
  const life = within(siteHeard, { startAt: first, endAt: signal.latestReadAt });
  const inService = life.flatMap((span) => within(exposure.observed, span));
  const lost = without(inService, own);
  const name = detector.detectorId;
  const note = noteOf(lost, { name, detectorId: name, inService, zone: site.timeZone, asOf: subject.asOf });
  return note ? [note] : [];
}

function heardBy({ history }: Pick<QualityMember, "history">, patience: number): Span[] {
  const presence = history.signal?.presence ?? [];
  // Presence is cut at the silence setting; a detector that is read less often is not silent in between.
  return unionOf(
    presence.map(({ startAt, endAt }) => ({ startAt, endAt: endAt + 1 })),
    { joinMs: patience },
  );
}

function noteOf(
  lost: readonly Span[],
  {
    name,
    detectorId,
    inService,
    zone,
    asOf,
  }: { name: string; detectorId: string | null; inService: readonly Span[]; zone: string; asOf: number },
): QualityNote | null {
  const shares = WINDOWS_DAYS.map((days) => {
    const window = { startAt: asOf - days * DAY_MS, endAt: asOf };
    const all = lengthOf(within(inService, window));
    return { days, all, share: all > 0 ? lengthOf(within(lost, window)) / all : 0 };
  });
  const worst = shares.reduce((best, one) => (one.share > best.share ? one : best));
  if (worst.share <= TOLD_SHARE) return null;
  const window = { startAt: asOf - worst.days * DAY_MS, endAt: asOf };
  const here = within(lost, window);
  const longest = here.reduce((best, one) => (one.endAt - one.startAt > best.endAt - best.startAt ? one : best));
  const days = lostDays(lost, { days: worst.days, asOf });
  const of = Math.round(worst.all / DAY_MS);
  const until = longest.endAt >= asOf ? "on" : `to ${dayInWords(longest.endAt, zone)}`;
  const base =
    of >= worst.days - 1
      ? `the last ${worst.days} days`
      : `the ${of} days it could have been heard in the last ${worst.days}`;
  return {
    kind,
    detectorId,
    serious: worst.share > SERIOUS_SHARE,
    short: `no readings for ${days} of ${Math.min(of, worst.days)} days`,
    sentence: `${name} sent no readings for ${days} of ${base}, the longest gap from ${dayInWords(longest.startAt, zone)} ${until}.`,
    startAt: longest.startAt,
    endAt: longest.endAt >= asOf ? null : longest.endAt,
    limits: detectorId === null ? ["rising_faults", "seasonal_alarms", "signal_drift"] : ["signal_drift"],
  };
}

function lostDays(lost: readonly Span[], { days, asOf }: { days: number; asOf: number }): number {
  return Math.round(lengthOf(within(lost, { startAt: asOf - days * DAY_MS, endAt: asOf })) / DAY_MS);
}
