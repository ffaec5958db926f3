import { across, Mark } from "@/app/_parts/marks/mark";
import type { Form } from "@/lib/records/vocabulary";

/** What a beam strip is drawn from. */
export type BeamStripData = {
  readonly form: Form;
  readonly pathLengthM: number;
  readonly latestSignalPct: number | null;
  /** Fault and unwanted-alarm episodes of the last year, as Instants. */
  readonly faultEpisodes: readonly number[];
  readonly alarmEpisodes: readonly number[];
  readonly threat: string | null;
};

/** Share of its place that the longest beam of a list takes; the rest is for the words at the end. */
const LONGEST = 0.66;
const MONTHS = 12;
const YEAR_DAYS = 365.25;
const HEIGHT = 32;
const BEAM_Y = 15;

/**
 * A detector as its beam: head, line of light, reflector.
 *
 * Length by path length on the scale of `longestM`, ink by the latest signal, a tick below for each fault episode and a
 * ring above for each unwanted alarm at its month along the last year, what threatens it in words at the end.
 */
export function BeamStrip({
  label,
  beam,
  longestM,
  asOf,
}: {
  label: string;
  beam: BeamStripData;
  longestM: number;
  asOf: number;
}) {
  const share = LONGEST * Math.min(1, beam.pathLengthM / Math.max(longestM, 1));
  return (
    <div className="flex flex-wrap items-center gap-x-3">
      <div style={{ width: `max(3.5rem, ${(share * 100).toFixed(1)}%)` }} className="shrink-0">
        <Mark title={`${label}, drawn as its beam`} description={wordsOf(beam)} heightPx={HEIGHT}>
          <line
            x1="8"
            x2="100%"
            y1={BEAM_Y}
            y2={BEAM_Y}
            stroke="var(--ink)"
            strokeWidth="3"
            strokeDasharray={dashesOf(beam.latestSignalPct)}
          />
          <rect x="0" y={BEAM_Y - 5} width="10" height="10" fill="var(--ink)" />
          <svg x="100%" y={BEAM_Y - 5} overflow="visible" aria-hidden="true">
            {beam.form === "reflective" ? (
              <rect
                x="-9.25"
                y="0.75"
                width="8.5"
                height="8.5"
                fill="var(--paper)"
                stroke="var(--ink)"
                strokeWidth="1.5"
              />
            ) : (
              <rect x="-10" y="0" width="10" height="10" fill="var(--ink)" />
            )}
          </svg>
          {placesOf(beam.faultEpisodes, asOf).map(({ key, fraction, nth }) => (
            <svg key={key} x={across(fraction)} y="0" overflow="visible" aria-hidden="true">
              <line x1={nth * 4} x2={nth * 4} y1={BEAM_Y + 5} y2={BEAM_Y + 14} stroke="var(--worse)" strokeWidth="2" />
            </svg>
          ))}
          {placesOf(beam.alarmEpisodes, asOf).map(({ key, fraction, nth }) => (
            <svg key={key} x={across(fraction)} y="0" overflow="visible" aria-hidden="true">
              <circle cx={nth * 8} cy="5" r="3" fill="none" stroke="var(--ink)" strokeWidth="1.5" />
            </svg>
          ))}
        </Mark>
      </div>
      {beam.threat ? <span className="font-serif text-sm italic">{beam.threat}</span> : null}
    </div>
  );
}

/** The strip in words, for those who hear it. */
function wordsOf({ form, pathLengthM, latestSignalPct, faultEpisodes, alarmEpisodes, threat }: BeamStripData): string {
  const shape = form === "reflective" ? "reflective" : "end to end";
  const signal = latestSignalPct === null ? "no reading" : `signal ${Math.round(latestSignalPct)} % of as left`;
  return [
    `${pathLengthM} m, ${shape}, ${signal}.`,
    `Last 12 months: ${faultEpisodes.length} fault episodes, ${alarmEpisodes.length} unwanted alarms.`,
    threat ? `Threat: ${threat}.` : "Nothing stands out.",
  ].join(" ");
}

/** Ink along the line by signal: all of it at 100 %, half of it at 50 %; thin dots when there is no reading. */
export function dashesOf(signalPct: number | null): string | undefined {
  if (signalPct === null) return "1 7";
  const share = Math.min(1, Math.max(0.08, signalPct / 100));
  const ink = Number((7 * share).toFixed(2));
  return share === 1 ? undefined : `${ink} ${Number((7 - ink).toFixed(2))}`;
}

/** Places of episodes along the year before `asOf`, by month; the nth of a month stands beside the first. */
function placesOf(episodes: readonly number[], asOf: number) {
  const seen = new Map<number, number>();
  return [...episodes]
    .sort((a, b) => a - b)
    .map((at) => {
      const years = 1 - (asOf - at) / (YEAR_DAYS * 86_400_000);
      const month = Math.min(MONTHS - 1, Math.max(0, Math.floor(years * MONTHS)));
      const nth = seen.get(month) ?? 0;
      seen.set(month, nth + 1);
      return { key: `${month}-${nth}`, fraction: (month + 0.3) / MONTHS, nth };
    });
}
