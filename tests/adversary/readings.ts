import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import { emptySeries, type ReadingSeries } from "@/lib/records/reading";
import { roughNormal } from "@/tests/adversary/dice";
import type { HiddenSite, Span } from "@/tests/adversary/site";
import { type State, thermalLoss } from "@/tests/adversary/state";
import type { Traits } from "@/tests/adversary/traits";

const STEPS = 4;
const STEP_MS = DAY_MS / STEPS;
/** Share of a slow loss that compensation lets through to the signal. */
const LEAK = 0.15;

/** Takes a detector's readings day by day. */
export type Meter = {
  readonly read: (day: number, state: State) => void;
  readonly finish: () => ReadingSeries;
};

/** A meter for a detector, null series where it sends none; readings stop for its site's silences and own gaps. */
export function meterOf({
  hidden,
  traits,
  span,
  chance,
  sends,
}: {
  hidden: HiddenSite;
  traits: Traits;
  span: Span;
  chance: Chance;
  sends: boolean;
}): Meter {
  if (!sends) return { read: () => undefined, finish: emptySeries };
  const room = (span.days + span.horizonDays) * STEPS;
  const readAt = new Float64Array(room);
  const signalPct = new Float64Array(room);
  const compensationPct = new Float64Array(room);
  const temperatureC = new Float64Array(room);
  const { habits, climate, weather, site } = hidden;
  const compensates = traits.compensated && habits.hasCompensation;
  const quantum = habits.wholePercent ? 1 : 10;
  let count = 0;
  let gapUntil = -1;
  const offsetH = site.longitude / 15;
  const read = (day: number, state: State) => {
    if (chance() < 0.001) gapUntil = day + 1 + 12 * chance();
    if (day < gapUntil || isSilent(hidden, day)) return;
    const slow = state.soil + state.aged;
    const shownSlow = traits.compensated ? LEAK * slow + Math.max(0, slow - traits.rangeDb) : slow;
    const steady = shownSlow + state.misaligned + state.knocked;
    const dayC = weather.temperatureC[day] ?? 0;
    for (let step = 0; step < STEPS; step += 1) {
      if (chance() < 0.01) continue;
      const at = day * DAY_MS + step * STEP_MS + (chance() - 0.5) * 0.6 * HOUR_MS;
      const swing = climate.dayC * Math.cos((2 * Math.PI * (at / HOUR_MS + offsetH - 15)) / 24);
      const loss = steady + thermalLoss(state, traits, state.feltC + swing / (1 + traits.thermalLagDays));
      const dip = chance() < 0.001 ? 30 * chance() : 0;
      const signal = 100 * Math.exp(-0.2302585 * loss) + habits.noise * roughNormal(chance) - dip;
      readAt[count] = Math.round(span.startAt + at);
      signalPct[count] = Math.min(400, Math.max(0, Math.round(signal * quantum) / quantum));
      compensationPct[count] = compensates
        ? Math.min(100, Math.max(0, Math.round((100 * slow) / traits.rangeDb + roughNormal(chance))))
        : Number.NaN;
      temperatureC[count] = habits.hasTemperature
        ? Math.round((dayC + swing + 0.3 * roughNormal(chance)) * 10) / 10
        : Number.NaN;
      count += 1;
    }
  };
  const cut = (column: Float64Array) => column.subarray(0, count);
  const finish = () => ({
    readAt: cut(readAt),
    signalPct: cut(signalPct),
    compensationPct: cut(compensationPct),
    temperatureC: cut(temperatureC),
  });
  return { read, finish };
}

/** Whether a site sends nothing on a day. */
export function isSilent({ habits }: HiddenSite, day: number): boolean {
  return habits.silences.some(({ from, until }) => day >= from && day < until);
}
