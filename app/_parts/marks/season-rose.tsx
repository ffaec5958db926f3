import { arc } from "d3-shape";
import { useId } from "react";
import type { Format } from "@/app/_parts/format";
import { PictureFrame } from "@/app/_parts/marks/picture-frame";
import type { RosePicture } from "@/lib/analyse/picture";

const SIZE = 368;
const CENTRE = SIZE / 2;
const INNER = 44;
const OUTER = 118;
const MARK_RADIUS = 126;
const SUN_RADIUS = 136;
const LABEL_RADIUS = 162;
const TURN = 2 * Math.PI;

/** A circle of the year or of the day: alarms per 100 days observed, the significant window, and where the sun stands in view. */
export function SeasonRose({ picture, format }: { picture: RosePicture; format: Format }) {
  const id = useId();
  const highest = Math.max(...picture.bins.map(({ rate }) => rate ?? 0), 1e-9);
  const radius = (rate: number) => INNER + ((OUTER - INNER) * rate) / highest;
  return (
    <PictureFrame picture={picture}>
      <svg
        role="img"
        aria-labelledby={`${id}t ${id}d`}
        viewBox={`0 0 ${SIZE} ${SIZE}`}
        className="block w-full max-w-[24rem]"
        focusable="false"
      >
        <title id={`${id}t`}>{`Unwanted alarms around the ${picture.circle}`}</title>
        <desc id={`${id}d`}>{roseWords(picture, format)}</desc>
        <g transform={`translate(${CENTRE} ${CENTRE})`}>
          {picture.window ? (
            <path
              d={sector({ from: picture.window.from, to: picture.window.to, inner: INNER, outer: OUTER + 4 })}
              fill="var(--accent-wash)"
            />
          ) : null}
          {[0.5, 1].map((share) => (
            <circle key={share} r={radius(highest * share)} fill="none" stroke="var(--rule)" />
          ))}
          <circle r={INNER} fill="none" stroke="var(--ink)" strokeWidth="1" />
          <Bars picture={picture} radius={radius} />
          {picture.window ? (
            // Drawn again over the bars, which would hide the shade.
            <path
              d={sector({ from: picture.window.from, to: picture.window.to, inner: INNER, outer: OUTER + 4 })}
              fill="none"
              stroke="var(--accent)"
              strokeWidth="2"
            />
          ) : null}
          {picture.sunArcs.map(({ from, to }) => (
            <path
              key={from}
              d={sector({ from, to, inner: SUN_RADIUS, outer: SUN_RADIUS + 5 })}
              fill="var(--cost-3)"
              stroke="var(--ink)"
              strokeWidth="0.75"
            />
          ))}
          {picture.marks.map((fraction, index) => {
            const { x, y } = placeAt(fraction, MARK_RADIUS);
            // biome-ignore lint/suspicious/noArrayIndexKey: two alarms may stand at the same place, and the list never moves
            return <circle key={index} cx={x} cy={y} r="2.5" fill="none" stroke="var(--ink)" strokeWidth="1.25" />;
          })}
          <Names circle={picture.circle} format={format} />
        </g>
      </svg>
    </PictureFrame>
  );
}

function Bars({ picture, radius }: { picture: RosePicture; radius: (rate: number) => number }) {
  const count = picture.bins.length;
  const gap = 0.06 / count;
  return picture.bins.map(({ rate }, index) => {
    const [from, to] = [index / count + gap, (index + 1) / count - gap];
    return rate === null ? (
      <path
        key={from}
        d={sector({ from, to, inner: INNER + 3, outer: INNER + 3.5 })}
        stroke="var(--faint)"
        strokeDasharray="2 3"
        fill="none"
      />
    ) : (
      <path key={from} d={sector({ from, to, inner: INNER, outer: radius(rate) })} fill="var(--ink)" />
    );
  });
}

function Names({ circle, format }: { circle: RosePicture["circle"]; format: Format }) {
  const names =
    circle === "year"
      ? Array.from({ length: 12 }, (_, index) => ({
          fraction: (index + 0.5) / 12,
          text: format.monthOfYear(index + 1),
        }))
      : [0, 3, 6, 9, 12, 15, 18, 21].map((hour) => ({ fraction: hour / 24, text: `${hour}:00` }));
  return names.map(({ fraction, text }) => {
    const { x, y } = placeAt(fraction, LABEL_RADIUS);
    return (
      <text key={text} x={x} y={y + 4} textAnchor="middle" fontSize="12.5" fill="var(--soft)">
        {text}
      </text>
    );
  });
}

/** A ring sector between two fractions of the circle; the start of the year or the day is at the top, clockwise. */
function sector({ from, to, inner, outer }: { from: number; to: number; inner: number; outer: number }): string {
  return (
    arc()({ innerRadius: inner, outerRadius: outer, startAngle: from * TURN, endAngle: to * TURN, padAngle: 0 }) ?? ""
  );
}

function placeAt(fraction: number, radius: number): { x: number; y: number } {
  const angle = fraction * TURN;
  return { x: Number((radius * Math.sin(angle)).toFixed(2)), y: Number((-radius * Math.cos(angle)).toFixed(2)) };
}

function roseWords({ circle, bins, window, sunArcs, marks }: RosePicture, format: Format): string {
  const highest = bins.reduce((most, { rate }, index) => ((rate ?? 0) > (bins[most]?.rate ?? 0) ? index : most), 0);
  const peak = bins[highest]?.rate ?? null;
  const parts = [
    `${marks.length} clusters of alarms.`,
    peak === null
      ? ""
      : `Highest from ${placeName((highest / bins.length) % 1, { circle, format })}: ${format.number(peak, { digits: 1 })} per 100 days observed.`,
    window
      ? `The window of the finding runs from ${placeName(window.from, { circle, format })} to ${placeName(window.to, { circle, format })}.`
      : "",
    sunArcs.length > 0 ? "The sun stands within the receiver's view in the arcs outside the circle." : "",
  ];
  return parts.filter(Boolean).join(" ");
}

/** A place on the circle in words: a day of the year or a time of the day. */
export function placeName(
  fraction: number,
  { circle, format }: { circle: RosePicture["circle"]; format: Format },
): string {
  const part = ((fraction % 1) + 1) % 1;
  if (circle === "year") return format.dayOfYear(part);
  const minutes = Math.round(part * 24 * 60) % (24 * 60);
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}
