import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { QualityMember, QualitySubject } from "@/lib/analyse/quality/subject";
import { lengthInWords, namesInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords } from "@/lib/analyse/wording";
import { lengthOf, without } from "@/lib/kernel/interval";
import { HOUR_MS } from "@/lib/kernel/units";

const kind = "last_data";
const USUAL_TIMES = 5;

/** How long without readings is too long: the setting, or five usual times between readings if that is longer. */
export function patienceMs({ intervalMs, silentAfterHours }: QualitySubject, own: number | null = null): number {
  return Math.max(silentAfterHours * HOUR_MS, USUAL_TIMES * (own ?? intervalMs ?? 0));
}

/** When the site and each of its detectors were last heard, against their own usual time between readings. */
export function lastData(subject: QualitySubject): QualityCheck {
  const { site, members, intervalMs, asOf, silentAfterHours } = subject;
  const sending = members.filter(({ history }) => history.signal !== null);
  const rule = `Late is a site, or a detector of a site that goes on sending, without a reading for more than ${silentAfterHours} hours, or five of its usual times between readings if that is longer.`;
  const looked = `${countInWords(sending.length, "detector")} with readings of ${members.length}`;
  const about = { kind, rule, looked } as const;
  const zone = site.site.timeZone;
  if (sending.length === 0) {
    const heard = site.hearing.lastRecordAt;
    const last = heard === null ? "nothing is on record" : `its last event is of ${dayInWords(heard, zone)}`;
    return tooLittle(`It sends no readings and ${last}; whether it is quiet or cut off cannot be told.`, about);
  }
  const lastAt = sending.reduce((latest, { history }) => Math.max(latest, history.signal?.latestReadAt ?? 0), 0);
  const usual = intervalMs === null ? "" : `, and they usually come every ${lengthInWords(intervalMs)}`;
  const said = `The last reading is of ${dayInWords(lastAt, zone)}, ${lengthInWords(asOf - lastAt)} before the as-of moment${usual}.`;
  const silent = asOf - lastAt > patienceMs(subject);
  const notes = silent
    ? [siteNote({ lastAt, sentence: said, asOf, zone })]
    : sending.flatMap((member) => detectorNote(member, subject));
  const names = notes.flatMap(({ detectorId }) => detectorId ?? []);
  const found = silent
    ? `${said} Nothing has come since.`
    : `${said} ${countInWords(names.length, "detector")} stopped before: ${namesInWords(names)}.`;
  return checkOf(notes, { ...about, fine: said, found });
}

function siteNote({
  lastAt,
  asOf,
  zone,
  sentence,
}: {
  lastAt: number;
  asOf: number;
  zone: string;
  sentence: string;
}): QualityNote {
  return {
    kind,
    detectorId: null,
    serious: true,
    short: `silent for ${lengthInWords(asOf - lastAt)}`,
    sentence: `${sentence} What is said of it stands as of ${dayInWords(lastAt, zone)}.`,
    startAt: lastAt,
    endAt: null,
    limits: ["rising_faults", "seasonal_alarms", "signal_drift"],
  };
}

function detectorNote({ history }: QualityMember, subject: QualitySubject): QualityNote[] {
  const { signal, detector, site, exposure } = history;
  if (signal === null) return [];
  const since = { startAt: signal.latestReadAt, endAt: subject.asOf };
  const heard = lengthOf(without([since], subject.site.hearing.silent));
  if (heard <= patienceMs(subject, signal.usualIntervalMs)) return [];
  // Taken out of service, it need not send.
  if (exposure.observed.every(({ endAt }) => endAt <= since.startAt)) return [];
  return [
    {
      kind,
      detectorId: detector.detectorId,
      serious: true,
      short: `no reading for ${lengthInWords(heard)}`,
      sentence: `${detector.detectorId} has sent no reading since ${dayInWords(since.startAt, site.timeZone)}, while its site went on sending for ${lengthInWords(heard)}.`,
      startAt: since.startAt,
      endAt: null,
      limits: ["signal_drift"],
    },
  ];
}
