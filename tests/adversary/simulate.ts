import { fleetHistory } from "@/lib/analyse/fleet-history";
import type { FleetRecords } from "@/lib/analyse/known";
import { type Chance, seededChance } from "@/lib/kernel/chance";
import { DAY_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import type { ReadingSeries } from "@/lib/records/reading";
import type { Work } from "@/lib/records/work";
import { defaultSettings } from "@/lib/settings/settings";
import { writeCommonCause } from "@/tests/adversary/common-cause";
import { between } from "@/tests/adversary/dice";
import { writeEpisodes, writeOtherEvents } from "@/tests/adversary/episode-records";
import { daysOf, expectedOf, futureDays, type Snapshot } from "@/tests/adversary/futures";
import { fleetRatesOf, informedOf, type Past, pastOf } from "@/tests/adversary/informed";
import { type Life, liveDay, type Witness } from "@/tests/adversary/life";
import { recorderOf } from "@/tests/adversary/planted";
import { isSilent, meterOf } from "@/tests/adversary/readings";
import { doTask, serveRound } from "@/tests/adversary/service";
import { drawSite, type HiddenSite, type Span } from "@/tests/adversary/site";
import { copyOf, newState, type Today } from "@/tests/adversary/state";
import type { DetectorTruth, Expected } from "@/tests/adversary/truth";

/** What a fleet is drawn from. */
export type AdversaryOptions = {
  readonly seed: string | number;
  readonly detectors?: number;
  readonly days?: number;
  readonly asOf?: number;
  readonly horizonDays?: number;
  /** Nothing to find: no rise, season, loose mount or drift; bursts, common cause and bad detectors as ever. */
  readonly quiet?: boolean;
  /** Futures each expectation is averaged over. */
  readonly paths?: number;
};

/** A fleet with records and readings up to the end of the horizon, and the truth about each detector in service. */
export type AdversaryFleet = {
  readonly records: FleetRecords;
  readonly series: ReadonlyMap<string, ReadingSeries>;
  readonly asOf: number;
  readonly horizonDays: number;
  readonly truth: ReadonlyMap<string, DetectorTruth>;
};

/** Simulates a fleet whose hidden causes no method was fitted to; the same options give the same fleet. */
export function simulateAdversary({
  seed,
  detectors = 1200,
  days = 1095,
  asOf = Date.UTC(2026, 5, 20),
  horizonDays = 90,
  quiet = false,
  paths = quiet ? 1 : 32,
}: AdversaryOptions): AdversaryFleet {
  const startAt = asOf - days * DAY_MS;
  const yearDays = Float64Array.from({ length: days + horizonDays }, (_, day) => yearDayAt(startAt + day * DAY_MS));
  const span: Span = { startAt, days, horizonDays, quiet, yearDayOf: (day) => yearDays[day] ?? 0 };
  const chance = seededChance(`adversary ${seed}`);
  const gathered: Gathered = {
    sites: [],
    detectors: [],
    events: [],
    work: [],
    series: new Map(),
    truth: new Map(),
    pasts: new Map(),
  };
  for (let index = 0, first = 0; first < detectors; index += 1) {
    const size = Math.min(detectors - first, sizeOf(chance));
    const siteChance = seededChance(`adversary ${seed} site ${index}`);
    const hidden = drawSite(siteChance, { index, first, size, span });
    liveSite(hidden, { span, seed: `adversary ${seed}`, paths, quiet, gathered, chance: siteChance });
    first += size;
  }
  const { sites, detectors: all, work, series, truth } = gathered;
  const records = { sites, detectors: all, events: gathered.events.filter(onceOnly()), work };
  const fleetRates = fleetRatesOf([...gathered.pasts.values()], days);
  const realised = realisedOf(records, { asOf, horizonDays });
  return {
    records,
    series,
    asOf,
    horizonDays,
    truth: new Map(
      [...truth].map(([id, one]) => {
        const past = gathered.pasts.get(id);
        const informed = past ? informedOf(past, one, { fleetRates, days, horizonDays }) : [];
        return [id, { ...one, informed, realised: realised.get(id) ?? { faults: 0, alarms: 0 } }];
      }),
    ),
  };
}

type Gathered = {
  readonly sites: HiddenSite["site"][];
  readonly detectors: HiddenSite["members"][number]["detector"][];
  readonly events: Event[];
  readonly work: Work[];
  readonly series: Map<string, ReadingSeries>;
  readonly truth: Map<string, Omit<DetectorTruth, "realised" | "informed">>;
  readonly pasts: Map<string, Past>;
};

function sizeOf(chance: Chance): number {
  return Math.round(3 * Math.exp(between(chance, 0, 1) * Math.log(20)));
}

function yearDayAt(at: number): number {
  return (at - Date.UTC(new Date(at).getUTCFullYear(), 0, 1)) / DAY_MS;
}

type SiteRun = {
  readonly span: Span;
  readonly seed: string;
  readonly paths: number;
  readonly quiet: boolean;
  readonly gathered: Gathered;
  readonly chance: Chance;
};

function liveSite(hidden: HiddenSite, run: SiteRun): void {
  const { span, seed, paths, quiet, gathered, chance } = run;
  const futures = futureDays(hidden, { span, paths, seed });
  const days = daysOf(hidden.weather, { from: 0, hidden, span });
  const events: Event[] = [];
  gathered.sites.push(hidden.site);
  for (const member of hidden.members) {
    const { detector } = member;
    const id = detector.detectorId;
    const lived = liveMember(hidden, member, { ...run, events, days });
    gathered.detectors.push(detector);
    if (lived.series.readAt.length > 0) gathered.series.set(id, lived.series);
    const expected = expectedOf(lived.snapshot, {
      hidden,
      futures,
      seed: `${seed} future ${id}`,
      onlyWithout: quiet,
    });
    gathered.pasts.set(id, lived.past);
    gathered.truth.set(id, { access: detector.access, ...expected, planted: lived.planted });
  }
  writeCommonCause(chance, { hidden, span, events });
  for (const event of events) {
    if (!isSilent(hidden, Math.floor((event.beganAt - span.startAt) / DAY_MS))) gathered.events.push(event);
  }
}

function liveMember(
  hidden: HiddenSite,
  { detector, traits, hasReadings }: HiddenSite["members"][number],
  { span, seed, gathered, events, days }: SiteRun & { events: Event[]; days: readonly Today[] },
) {
  const { detectorId } = detector;
  const chance = seededChance(`${seed} life ${detectorId}`);
  const pen = { chance: seededChance(`${seed} pen ${detectorId}`), span, hidden, detectorId, traits, events };
  const book = { ...pen, work: gathered.work };
  const sends = hasReadings && hidden.habits.hasReadings;
  const meter = meterOf({ hidden, traits, span, chance: seededChance(`${seed} meter ${detectorId}`), sends });
  const recorder = recorderOf(traits, { hidden, span, hasReadings: sends });
  const life: Life = { state: newState(traits), traits, callOut: null };
  const past = pastOf({ ...span, bornDay: traits.bornDay });
  const rounds = new Set(hidden.habits.rounds);
  let snapshot: Snapshot = { state: copyOf(life.state), traits, callOut: null };
  let realigned = 0;
  const [first] = days;
  if (!first) throw new RangeError("no day to live");
  const setting = { today: first, climate: hidden.climate, chance };
  const witness: Witness = {
    episode: (kind, mechanism, day) => {
      past.episode(kind, mechanism, day);
      writeEpisodes(pen, { kind, mechanism, day });
    },
    callOut: (task, _, done) => {
      const { day } = setting.today;
      if (task === "realign" && day < span.days) realigned += 1;
      doTask(book, life, { task, day, reactive: true, done, hour: 9 + 7 * pen.chance() });
    },
  };
  for (let day = Math.max(0, traits.bornDay); day < span.days + span.horizonDays; day += 1) {
    if (day === span.days) {
      snapshot = { state: copyOf(life.state), traits, callOut: life.callOut && { ...life.callOut } };
    }
    if (rounds.has(day) && day < span.days) serveRound(book, life, day);
    const today = days[day];
    if (!today) break;
    setting.today = today;
    liveDay(life, setting, witness);
    if (day < span.days) {
      recorder.note(day, life.state);
      past.note(day, life.state);
    }
    meter.read(day, life.state);
  }
  writeOtherEvents(pen);
  return { series: meter.finish(), snapshot, past, planted: recorder.plantedAt(snapshot.state, realigned) };
}

/** Keeps the first record of each detector, moment and condition, as the files' key asks. */
function onceOnly(): (event: Event) => boolean {
  const seen = new Set<string>();
  return ({ detectorId, beganAt, condition }) => {
    const key = `${detectorId} ${beganAt} ${condition}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  };
}

/** Own fault episodes and own false alarms of the horizon by detector, counted by the product's rules. */
function realisedOf(
  records: FleetRecords,
  { asOf, horizonDays }: { asOf: number; horizonDays: number },
): Map<string, Expected> {
  const end = asOf + horizonDays * DAY_MS;
  const history = fleetHistory({ records, signals: new Map(), settings: defaultSettings(), asOf: end });
  const since = (list: readonly { readonly beganAt: number }[]) => list.filter(({ beganAt }) => beganAt >= asOf).length;
  return new Map(
    history.detectors.map(({ detector, faults, ownAlarms }) => [
      detector.detectorId,
      { faults: since(faults), alarms: since(ownAlarms) },
    ]),
  );
}
