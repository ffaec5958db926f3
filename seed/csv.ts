import { seededChance } from "@/lib/kernel/chance";
import { columnsOf } from "@/lib/records/files";
import { signalOf } from "@/seed/beam";
import type { DemoDetector, DemoSite } from "@/seed/fleet";
import { PORTFOLIO } from "@/seed/fleet";
import type { Life } from "@/seed/life";
import { type Period, STEPS_PER_DAY, stepAt } from "@/seed/period";
import { isSilent, type SiteHistory } from "@/seed/portfolio";
import type { DemoEvent, DemoWork } from "@/seed/records";
import { stampOf } from "@/seed/stamps";

type Cell = string | number | boolean | null;

/** First line of each file, from the row schemas. */
export function headerOf(kind: Parameters<typeof columnsOf>[0]): string {
  return `${columnsOf(kind).join(",")}\n`;
}

/** A line of cells; an empty cell for null, quotes where the text needs them. */
export function lineOf(cells: readonly Cell[]): string {
  const texts = cells.map((cell) => {
    const text = cell === null ? "" : String(cell);
    return /[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  });
  return `${texts.join(",")}\n`;
}

/** Line of sites.csv. */
export function siteLine(site: DemoSite): string {
  const { siteId, name, latitude, longitude, country, opens, closes, detectorsOnSystem } = site;
  const place = [siteId, name, latitude, longitude, country.timeZone];
  return lineOf([...place, PORTFOLIO, "EUR", opens, closes, detectorsOnSystem]);
}

/** Line of detectors.csv. */
export function detectorLine(detector: DemoDetector, site: DemoSite): string {
  const { detectorId, label, form, pathLengthM, heightM, bearingDeg, installedOn, alarmThresholdPct } = detector;
  const { access, zone, lastServiceOn } = detector;
  const built = [form, pathLengthM, heightM, bearingDeg, installedOn, alarmThresholdPct, access];
  return lineOf([detectorId, site.siteId, label, ...built, zone, site.use.name, lastServiceOn]);
}

/** Line of events.csv. */
export function eventLine(event: DemoEvent, site: DemoSite): string {
  const stamp = (at: number | null) => (at === null ? null : stampOf(at, { site, seconds: true }));
  const { detectorId, beganAt, endedAt, condition, cause, verdict } = event;
  return lineOf([detectorId, stamp(beganAt), stamp(endedAt), condition, cause, verdict]);
}

/** Line of work.csv. */
export function workLine(work: DemoWork, site: DemoSite): string {
  const { detectorId, doneAt, task, result, signalBeforePct, signalAfterPct, durationMin, reactive } = work;
  const stamp = stampOf(doneAt, { site, seconds: true });
  const found = [signalBeforePct, signalAfterPct, durationMin, reactive];
  return lineOf([detectorId, stamp, task, result, ...found, work.told, work.interim, work.note]);
}

/** Number texts by hundredths and tenths, so that five million rows need no number formatting. */
const hundredths = Array.from({ length: 40_001 }, (_, index) => String(index / 100));
const tenths = Array.from({ length: 1_601 }, (_, index) => String((index - 600) / 10));

/** Lines of readings.csv of one site, one text per detector. One reading in 250 is lost on the way. */
export function* readingLines({ site, roofC, lives }: SiteHistory, period: Period): Generator<string> {
  const stamps = Array.from({ length: period.steps }, (_, step) => {
    if (isSilent(site, Math.floor(step / STEPS_PER_DAY))) return "";
    return stampOf(stepAt(period, step, site.readingMinute), { site, seconds: false });
  });
  for (const { detector, life } of lives) yield detectorReadings({ site, detector, life, roofC, stamps });
}

function detectorReadings({
  site,
  detector,
  life,
  roofC,
  stamps,
}: {
  site: DemoSite;
  detector: DemoDetector;
  life: Life;
  roofC: Float32Array;
  stamps: readonly string[];
}): string {
  const chance = seededChance(`${detector.detectorId}/lost`);
  const warmerC = 0.2 * (detector.heightM - 8);
  const lead = `${detector.detectorId},`;
  let text = "";
  for (let step = detector.firstDay * STEPS_PER_DAY; step < stamps.length; step += 1) {
    const stamp = stamps[step];
    if (!stamp || chance() < 0.004) continue;
    const signal = Math.round(100 * signalOf(life.attenuationDb[step] ?? 0));
    text += `${lead}${stamp},${hundredths[signal]},`;
    if (detector.sendsCompensation) text += tenths[600 + Math.round(10 * (life.compensationPct[step] ?? 0))];
    text += ",";
    if (site.sendsTemperature) text += tenths[600 + Math.round(10 * ((roofC[step] ?? 0) + warmerC))];
    text += "\n";
  }
  return text;
}
