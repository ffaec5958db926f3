import { across, Mark } from "@/app/_parts/marks/mark";
import { counted } from "@/app/_parts/words";
import { DAY_MS } from "@/lib/kernel/units";
import type { BeamView } from "@/lib/services/visit-view";

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
  beam: BeamView;
  longestM: number;
  asOf: number;
}) {
  const share = LONGEST * Math.min(1, beam.pathLengthM / Math.max(longestM, 1));
  return (
    <div className="flex flex-wrap items-center gap-x-3">
      <div style={{ width: `max(3.5rem, ${(share * 100).toFixed(1)}%)` }} className="shrink-0 pr-[10px] pl-[14px]">
        <Mark title={`${label}, drawn as its beam`} description={wordsOf(beam)} heightPx={HEIGHT}>
          <line
            x1="-6"
            x2="100%"
            y1={BEAM_Y}
            y2={BEAM_Y}
            stroke="var(--ink)"
            strokeWidth="3"
            strokeDasharray={dashesOf(beam.latestSignalPct)}
          />
          <rect x="-14" y={BEAM_Y - 5} width="10" height="10" fill="var(--ink)" />
          <svg x="100%" y={BEAM_Y - 5} overflow="visible" aria-hidden="true">
            {beam.form === "reflective" ? (
              <rect
                x="0.75"
                y="0.75"
                width="8.5"
                height="8.5"
                fill="var(--paper)"
                stroke="var(--ink)"
                strokeWidth="1.5"
              />
            ) : (
              <rect x="0" y="0" width="10" height="10" fill="var(--ink)" />
            )}
          </svg>
          {placesOf(beam.faultEpisodes, asOf).map(({ key, fraction }) => (
            <line
              key={key}
              x1={across(fraction)}
              x2={across(fraction)}
              y1={BEAM_Y + 5}
              y2={BEAM_Y + 14}
              stroke="var(--worse)"
              strokeWidth="2"
            />
          ))}
          {placesOf(beam.alarmEpisodes, asOf).map(({ key, fraction }) => (
            <circle key={key} cx={across(fraction)} cy="5" r="3" fill="none" stroke="var(--ink)" strokeWidth="1.5" />
          ))}
        </Mark>
      </div>
      {beam.threat ? <span className="font-serif text-sm italic">{beam.threat}</span> : null}
    </div>
  );
}

/** The strip in words, for those who hear it. */
function wordsOf({ form, pathLengthM, latestSignalPct, faultEpisodes, alarmEpisodes, threat }: BeamView): string {
  const shape = form === "reflective" ? "reflective" : "end to end";
  const signal = latestSignalPct === null ? "no reading" : `signal ${Math.round(latestSignalPct)} % of as left`;
  return [
    `${pathLengthM} m, ${shape}, ${signal}.`,
    `Last 12 months: ${counted(faultEpisodes.length, "fault episode")}, ${counted(alarmEpisodes.length, "unwanted alarm")}.`,
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

/** Places 0..1 of episodes along the year before `asOf`, by month; those of one month share its stretch evenly. */
export function placesOf(episodes: readonly number[], asOf: number): { key: string; fraction: number }[] {
  const counts = new Array<number>(MONTHS).fill(0);
  for (const at of episodes) {
    const years = 1 - (asOf - at) / (YEAR_DAYS * DAY_MS);
    const month = Math.min(MONTHS - 1, Math.max(0, Math.floor(years * MONTHS)));
    counts[month] = (counts[month] ?? 0) + 1;
  }
  return counts.flatMap((count, month) =>
    Array.from({ length: count }, (_, nth) => ({
      key: `${month}-${nth}`,
      fraction: (month + (nth + 0.5) / count) / MONTHS,
    })),
  );
}
