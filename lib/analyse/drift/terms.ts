import { type Prepared, seriesFor, type Terms } from "@/lib/analyse/drift/design";
import type { DriftPrior } from "@/lib/analyse/drift/prior";
import { lagsDays } from "@/lib/analyse/drift/weeks";
import { fitLocalLevel } from "@/lib/statistics/local-level";

const OWN_YEAR_WEEKS = 40;
const BOTH_WEEKS = 78;
// Terms are compared at one ratio of walk to noise, in the middle of what is usual.
const RATIO = 0.05;
const LEAST_VARIANCE = 1e-6;
const STRONG_HEAT = 4;
const BOW_GAIN = 8;
const LAG_GAIN = 5;

/**
 * What explains the value beside the slope: temperature where it was sent, with a bend and a lag where they make the
 * weeks clearly likelier, and a yearly term where the record or the fleet can tell it from drift.
 *
 * @returns null when drift cannot be told from season: a short record without temperature and without a fleet's term
 */
export function chooseTerms(prepared: Prepared, prior: DriftPrior): Terms | null {
  const { hasTemperature } = prepared;
  const known = hasTemperature ? prior.seasonBesideHeat : prior.season;
  const own = hasOwnYear(prepared);
  const season = own || known !== null;
  if (!hasTemperature) return season ? { temperature: false, bow: false, season, lag: 0 } : null;
  const plain: Terms = { temperature: true, bow: false, season, lag: 0 };
  const first = fitOf(prepared, plain);
  if (first === null) return plain;
  const bent = fitOf(prepared, { ...plain, bow: true });
  const bends = bent !== null && gain(first, bent) > BOW_GAIN;
  const strength = Math.abs(first.coefficients[1] ?? 0) / Math.sqrt(first.covariance[1]?.[1] ?? 1);
  if (strength < STRONG_HEAT && !bends) return plain;
  let best = bends ? { terms: { ...plain, bow: true }, fit: bent } : { terms: plain, fit: first };
  const prompt = best.fit;
  for (const lag of lagsDays.keys()) {
    const lagged = lag === 0 ? null : fitOf(prepared, { ...best.terms, lag });
    if (lagged !== null && gain(prompt, lagged) > LAG_GAIN && gain(best.fit, lagged) > 0) {
      best = { terms: { ...best.terms, lag }, fit: lagged };
    }
  }
  return best.terms;
}

/** The fleet's yearly term, for a record too short to know its own; null where it is not needed or not used. */
export function seasonPriorOf(prepared: Prepared, { terms, prior }: { terms: Terms; prior: DriftPrior }) {
  if (!terms.season || hasOwnYear(prepared)) return null;
  return terms.temperature ? prior.seasonBesideHeat : prior.season;
}

/** Whether the record is long enough to know its own year. */
export function hasOwnYear({ hasTemperature, weeks: { day } }: Prepared): boolean {
  const span = ((day.at(-1) ?? 0) - (day[0] ?? 0)) / 7;
  const needed = hasTemperature ? BOTH_WEEKS : OWN_YEAR_WEEKS;
  return day.length >= needed / 2 && span >= needed;
}

type Fitted = NonNullable<ReturnType<typeof fitOf>>;

function fitOf(prepared: Prepared, terms: Terms) {
  const series = seriesFor(prepared, { terms, seasonSd: Infinity });
  return fitLocalLevel(series, { ratio: RATIO, leastVariance: LEAST_VARIANCE });
}

// Log-likelihood gained at a fixed ratio: the filter is the same, so only the squares that are left differ.
function gain(before: Fitted, after: Fitted): number {
  const squares = ({ noiseVariance, df }: Fitted) => noiseVariance * df;
  return 0.5 * before.df * Math.log(squares(before) / squares(after));
}
