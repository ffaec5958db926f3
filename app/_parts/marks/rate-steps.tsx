import type { Format } from "@/app/_parts/format";
import { across, anchorAt, Label, Mark } from "@/app/_parts/marks/mark";
import { PictureFrame } from "@/app/_parts/marks/picture-frame";
import { plotScaleOf } from "@/app/_parts/marks/plot-scale";
import type { RateLevel, RatePicture } from "@/lib/analyse/picture";

const PLOT = 150;
const TOP = 20;
const AXIS = 24;
const DAYS = 30;

/** Faults of each month as columns, with the rate before and inside the recent window as two steps and their intervals. */
export function RateSteps({ picture, format }: { picture: RatePicture; format: Format }) {
  const { months, recentFrom, before, recent } = picture;
  const rates = months.map(({ episodes, exposureDays }) =>
    exposureDays > 0 ? (episodes / exposureDays) * DAYS : null,
  );
  const ends = [before, recent].flatMap((level) => (level ? [level.rate, level.high ?? level.rate] : []));
  const { y, ticks } = plotScaleOf([...rates.map((rate) => rate ?? 0), ...ends], { heightPx: PLOT });
  const split = splitOf(months, recentFrom);
  return (
    <PictureFrame picture={picture}>
      <Mark
        title="Faults by month and the two rates compared"
        description={rateWords(picture, format)}
        heightPx={TOP + PLOT + AXIS}
      >
        {ticks.map((tick) => (
          <g key={tick}>
            <line x1="0" x2="100%" y1={TOP + y(tick)} y2={TOP + y(tick)} stroke="var(--rule)" />
            <Label x="0" y={TOP + y(tick) - 4}>
              {format.number(tick, { digits: 1 })}
            </Label>
          </g>
        ))}
        {before ? <Level level={before} from={0} to={split} y={y} ink="var(--soft)" /> : null}
        {recent ? <Level level={recent} from={split} to={1} y={y} ink="var(--accent)" /> : null}
        {months.map(({ month }, index) => (
          <Column key={month} rate={rates[index] ?? null} index={index} count={months.length} y={y} />
        ))}
        <line
          x1={across(split)}
          x2={across(split)}
          y1={TOP - 6}
          y2={TOP + PLOT}
          stroke="var(--accent)"
          strokeDasharray="2 3"
        />
        <Label x={across(split)} y={10} anchor={split > 0.5 ? "end" : "start"}>
          {`from ${format.day(recentFrom)}`}
        </Label>
        <line x1="0" x2="100%" y1={TOP + PLOT} y2={TOP + PLOT} stroke="var(--ink)" />
        {months.map(({ month }, index) =>
          index % 6 === 0 ? (
            <Label
              key={month}
              x={across((index + 0.5) / months.length)}
              y={TOP + PLOT + 18}
              anchor={anchorAt(index / months.length)}
            >
              {format.month(month, { short: true })}
            </Label>
          ) : null,
        )}
      </Mark>
    </PictureFrame>
  );
}

function Column({
  rate,
  index,
  count,
  y,
}: {
  rate: number | null;
  index: number;
  count: number;
  y: (value: number) => number;
}) {
  const from = (index + 0.25) / count;
  if (rate === null) {
    return (
      <line
        x1={across(from)}
        x2={across(from + 0.5 / count)}
        y1={TOP + PLOT - 3}
        y2={TOP + PLOT - 3}
        stroke="var(--faint)"
        strokeDasharray="2 2"
      />
    );
  }
  return (
    <rect x={across(from)} width={across(0.5 / count)} y={TOP + y(rate)} height={PLOT - y(rate)} fill="var(--ink)" />
  );
}

function Level({
  level,
  from,
  to,
  y,
  ink,
}: {
  level: RateLevel;
  from: number;
  to: number;
  y: (value: number) => number;
  ink: string;
}) {
  // Without an upper limit the band runs to the top of the picture.
  const top = level.high === null ? 0 : y(level.high);
  return (
    <>
      <rect
        x={across(from)}
        width={across(to - from)}
        y={TOP + top}
        height={y(level.low) - top}
        fill={ink}
        opacity="0.14"
      />
      <line
        x1={across(from)}
        x2={across(to)}
        y1={TOP + y(level.rate)}
        y2={TOP + y(level.rate)}
        stroke={ink}
        strokeWidth="2.5"
      />
    </>
  );
}

function splitOf(months: RatePicture["months"], recentFrom: string): number {
  const index = months.findIndex(({ month }) => month === recentFrom.slice(0, 7));
  if (index < 0) return 1;
  const day = Number(recentFrom.slice(8, 10)) - 1;
  return Math.min(1, (index + day / 31) / months.length);
}

function rateWords({ months, recentFrom, before, recent }: RatePicture, format: Format): string {
  const said = (level: RateLevel | null) => {
    if (level === null) return "cannot be said";
    const write = (value: number) => format.number(value, { digits: 2 });
    const high = level.high === null ? "without upper limit" : `to ${write(level.high)}`;
    return `${write(level.rate)} in 30 days observed (${write(level.low)} ${high})`;
  };
  const episodes = months.reduce((total, month) => total + month.episodes, 0);
  return `${episodes} fault episodes in ${months.length} months. Rate before ${format.day(recentFrom)}: ${said(before)}; since: ${said(recent)}.`;
}
