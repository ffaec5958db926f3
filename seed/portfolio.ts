import { seededChance } from "@/lib/kernel/chance";
import { DAY_MS } from "@/lib/kernel/units";
import { type Climate, climateOf, weatherSpells } from "@/seed/climate";
import { type DemoDetector, type DemoSite, type FleetOptions, makeFleet } from "@/seed/fleet";
import { type Life, liveDetector } from "@/seed/life";
import type { Period } from "@/seed/period";
import { countries } from "@/seed/places";
import type { DemoEvent, DemoWork } from "@/seed/records";
import { siteEvents } from "@/seed/site-days";

/** What one site sent over the period: readings as arrays by step, events and work in order of time. */
export type SiteHistory = {
  readonly site: DemoSite;
  readonly roofC: Float32Array;
  readonly lives: readonly { readonly detector: DemoDetector; readonly life: Life }[];
  readonly events: readonly DemoEvent[];
  readonly work: readonly DemoWork[];
};

/** The histories of the whole portfolio, one site at a time so that a million readings never stand in memory together. */
export function* portfolioHistories(options: FleetOptions): Generator<SiteHistory> {
  const { period, seed } = options;
  const spells = new Map(
    countries.map(({ code, weather }) => [
      code,
      weatherSpells(seededChance(`${seed}/weather ${code}`), { days: period.days, spellC: weather.spellC }),
    ]),
  );
  for (const site of makeFleet(options)) {
    const { country, latitude } = site;
    const weather = { period, country, latitude, spells: spells.get(country.code) ?? new Float32Array(period.days) };
    const climate = climateOf(seededChance(`${seed}/${site.siteId}/climate`), weather);
    yield historyOf(site, { climate, period, seed });
  }
}

function historyOf(
  site: DemoSite,
  { climate, period, seed }: { climate: Climate; period: Period; seed: string },
): SiteHistory {
  const { roofC, outdoorMinC } = climate;
  const coldMorningC = [...outdoorMinC].sort((a, b) => a - b)[Math.floor(period.days * 0.22)] ?? 0;
  const lives = site.detectors.map((detector, slot) => {
    const chance = seededChance(`${seed}/${detector.detectorId}/life`);
    const life = liveDetector({ site, detector, period, outdoorMinC, coldMorningC, chance, roofC, slot });
    return { detector, life };
  });
  const ofSite = siteEvents(seededChance(`${seed}/${site.siteId}/days`), { site, period });
  const events = [...lives.flatMap(({ life }) => life.events), ...ofSite];
  return {
    site,
    roofC,
    lives,
    events: sentEvents(events, { site, period }),
    work: sentWork(
      lives.flatMap(({ life }) => life.work),
      { site, period },
    ),
  };
}

/** Events as they reach the file: in service, not while the site is silent, one per natural key, oldest first. */
function sentEvents(events: readonly DemoEvent[], { site, period }: { site: DemoSite; period: Period }): DemoEvent[] {
  const inService = serviceStarts(site, period);
  const seen = new Set<string>();
  return events
    .filter(({ detectorId, beganAt, condition }) => {
      const key = `${detectorId} ${beganAt} ${condition}`;
      const sent =
        beganAt >= (inService.get(detectorId) ?? Infinity) &&
        beganAt < period.endAt &&
        !isSilent(site, Math.floor((beganAt - period.startAt) / DAY_MS)) &&
        !seen.has(key);
      seen.add(key);
      return sent;
    })
    .map((event) => (event.endedAt !== null && event.endedAt >= period.endAt ? { ...event, endedAt: null } : event))
    .sort((a, b) => a.beganAt - b.beganAt || (a.detectorId < b.detectorId ? -1 : 1));
}

/** Work is written down by hand: it goes on while a site is silent, but not after a site has stopped for good. */
function sentWork(work: readonly DemoWork[], { site, period }: { site: DemoSite; period: Period }): DemoWork[] {
  const stops = site.silentDays !== null && site.silentDays.to === period.days;
  const lastAt = stops && site.silentDays ? period.startAt + site.silentDays.from * DAY_MS : period.endAt;
  const seen = new Set<string>();
  return work
    .filter(({ detectorId, doneAt, task }) => {
      const key = `${detectorId} ${doneAt} ${task}`;
      const sent = doneAt >= period.startAt && doneAt < lastAt && !seen.has(key);
      seen.add(key);
      return sent;
    })
    .sort((a, b) => a.doneAt - b.doneAt || (a.detectorId < b.detectorId ? -1 : 1));
}

function serviceStarts(site: DemoSite, period: Period): Map<string, number> {
  return new Map(site.detectors.map((one) => [one.detectorId, period.startAt + one.firstDay * DAY_MS]));
}

/** Whether a site sends nothing on a day of the period. */
export function isSilent({ silentDays }: DemoSite, day: number): boolean {
  return silentDays !== null && day >= silentDays.from && day < silentDays.to;
}
