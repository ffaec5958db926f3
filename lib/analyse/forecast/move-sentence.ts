import type { MoveGroup } from "@/lib/analyse/forecast/detector-forecast";
import { countIn } from "@/lib/analyse/forecast/event-record";
import { ageYears, daysSinceTask, type FeatureSource } from "@/lib/analyse/forecast/features";
import type { EventKind } from "@/lib/analyse/modes/cause";
import { DAY_MS } from "@/lib/kernel/units";

const YEAR_DAYS = 365;
const RECENT_DAYS = 90;
const NOTED_SLOPE_DB = 0.02;
const NOTED_COMPENSATION_PCT = 70;
const LONG_AGO_DAYS = 1500;

/** The fact behind a move in plain words, with its number. */
export function moveSentence(source: FeatureSource, { kind, group }: { kind: EventKind; group: MoveGroup }): string {
  const one = kind === "fault" ? "fault" : "unwanted alarm";
  if (group === "own history") return ownHistory(source, one);
  if (group === "season") return season(source, one);
  if (group === "signal") return signal(source);
  if (group === "work") return work(source);
  return group === "site" ? site(source, one) : build(source);
}

function ownHistory({ record, at }: FeatureSource, one: string): string {
  const last = (days: number) => countIn(record.episodes, { startAt: at - days * DAY_MS, endAt: at });
  const year = last(YEAR_DAYS);
  const recent = last(RECENT_DAYS);
  if (year === 0) {
    const before = countIn(record.episodes, { startAt: -Infinity, endAt: at });
    return before === 0 ? `no ${one} on record` : `no ${one} in the last 12 months, ${before} before`;
  }
  const whole = `${counted(year, one)} in the last 12 months`;
  return recent > 0 && recent < year ? `${whole}, ${recent} of them in the last 90 days` : whole;
}

function season({ season: { count, expected } }: FeatureSource, one: string): string {
  if (expected === 0) return "no earlier year to tell its season by";
  return `${counted(count, one)} in the same weeks of earlier years, where ${expected.toFixed(1)} would be even`;
}

function signal({ signal: state }: FeatureSource): string {
  if (state === null) return "no readings of late";
  const parts: string[] = [];
  const aMonth = state.slopeDbPerDay * 30;
  const left = `${Math.max(0, state.marginLeftDb).toFixed(1)} dB left`;
  parts.push(
    aMonth >= NOTED_SLOPE_DB ? `signal loses ${aMonth.toFixed(2)} dB a month, ${left}` : `steady signal, ${left}`,
  );
  if (state.compensationPct !== null && state.compensationPct >= NOTED_COMPENSATION_PCT) {
    parts.push(`${Math.round(state.compensationPct)} % of compensation used`);
  }
  if (parts.length === 1 && state.swingDb >= 0.3) parts.push(`swings by ${state.swingDb.toFixed(1)} dB`);
  return parts.join(", ");
}

function work(source: FeatureSource): string {
  const { history, at } = source;
  const cleaned = daysSinceTask(source, ["clean"]);
  const parts = [
    cleaned >= LONG_AGO_DAYS ? "no cleaning on record" : `cleaned ${counted(Math.round(cleaned), "day")} ago`,
  ];
  const realigned = history.work.filter(
    ({ task, doneAt }) => task === "realign" && doneAt < at && doneAt >= at - 2 * YEAR_DAYS * DAY_MS,
  ).length;
  if (realigned > 0) parts.push(`${counted(realigned, "realignment")} in two years`);
  const mended = daysSinceTask(source, ["repair", "replace"]);
  if (mended < YEAR_DAYS) parts.push(`repaired or replaced ${counted(Math.round(mended), "day")} ago`);
  return parts.join(", ");
}

function site({ rates, history }: FeatureSource, one: string): string {
  const { environment } = history.detector;
  const times = (factor: number) => `${factor.toFixed(factor < 0.95 ? 2 : 1)} times the usual ${one}s`;
  if (environment !== null && Math.abs(Math.log(rates.environmentFactor)) > Math.abs(Math.log(rates.siteFactor))) {
    return `detectors in '${environment}' give ${times(rates.environmentFactor)}`;
  }
  return `detectors of its site give ${times(rates.siteFactor)}`;
}

function build({ history, at }: FeatureSource): string {
  const { form, pathLengthM, heightM } = history.detector;
  const years = Math.round(ageYears(history, at));
  const shape = form === "reflective" ? "reflective" : "end to end";
  return `${shape}, ${Math.round(pathLengthM)} m path, ${Math.round(heightM)} m high, ${counted(years, "year")} old`;
}

function counted(number: number, word: string): string {
  return `${number} ${word}${number === 1 ? "" : "s"}`;
}
