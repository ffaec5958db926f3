import { useId } from "react";
import type { Format } from "@/app/_parts/format";
import { dashesOf } from "@/app/_parts/marks/beam-strip";
import { costInk, costStep } from "@/app/_parts/marks/cost-ink";
import { CostLegend } from "@/app/_parts/marks/cost-legend";
import { type PlacedBeam, type RoofBeam, type RoofLayout, roofLayoutOf } from "@/app/_parts/marks/roof-layout";

/** Width of a plan in drawing units, few enough that its numbers can be read on a phone; long roofs take more. */
const WIDTH = 560;
const LEAST_UNITS_PER_M = 2;
const MOST_UNITS_PER_M = 5;

/** The beams of a site by bearing and length, north up; numbered as in the list beside it. */
export function RoofPlan({
  siteName,
  beams,
  format,
}: {
  siteName: string;
  beams: readonly RoofBeam[];
  format: Format;
}) {
  const id = useId();
  const layout = roofLayoutOf(beams);
  const highest = Math.max(0, ...beams.map(({ expectedCost }) => expectedCost));
  const unitsPerM = Math.min(MOST_UNITS_PER_M, Math.max(LEAST_UNITS_PER_M, WIDTH / Math.max(1, layout.widthM)));
  const width = Math.max(WIDTH, layout.widthM * unitsPerM);
  const height = layout.heightM * unitsPerM + 40;
  return (
    <figure>
      <svg
        role="img"
        aria-labelledby={`${id}t ${id}d`}
        viewBox={`0 0 ${width.toFixed(0)} ${height.toFixed(0)}`}
        className="block h-auto w-full max-w-[56rem] overflow-visible"
        focusable="false"
      >
        <title id={`${id}t`}>{`Beams of ${siteName} by bearing and length`}</title>
        <desc id={`${id}d`}>{planWords(beams)}</desc>
        <g transform={`translate(${((width - layout.widthM * unitsPerM) / 2).toFixed(1)} 0)`}>
          {layout.beams.map((placed, index) => (
            <Beam
              key={placed.beam.detectorId}
              placed={placed}
              number={index + 1}
              highest={highest}
              unitsPerM={unitsPerM}
            />
          ))}
        </g>
        <Compass x={width - 16} y={height - 20} />
        <ScaleBar y={height - 12} layout={layout} unitsPerM={unitsPerM} />
      </svg>
      <figcaption className="text-sm text-soft">
        A scheme, not a survey: direction and length are true to scale, where a beam stands is not in the data.
        <CostLegend
          highest={highest}
          format={format}
          note="Broken line: weaker signal. Numbers as in the list below."
        />
      </figcaption>
    </figure>
  );
}

/** The order in which {@link RoofPlan} numbers the beams. */
export function planOrder(beams: readonly RoofBeam[]): string[] {
  return roofLayoutOf(beams).beams.map(({ beam }) => beam.detectorId);
}

function Beam({
  placed: { beam, head, far },
  number,
  highest,
  unitsPerM,
}: {
  placed: PlacedBeam;
  number: number;
  highest: number;
  unitsPerM: number;
}) {
  const at = (metres: number) => Number((metres * unitsPerM).toFixed(1));
  const [x1, y1, x2, y2] = [at(head.x), at(head.y), at(far.x), at(far.y)];
  const ink = costInk(costStep(beam.expectedCost, highest));
  const turn = Number(((Math.atan2(y2 - y1, x2 - x1) * 180) / Math.PI).toFixed(1));
  return (
    <g>
      <line x1={x1} y1={y1} x2={x2} y2={y2} stroke={ink} strokeWidth="13" strokeLinecap="butt" />
      <line x1={x1} y1={y1} x2={x2} y2={y2} stroke="var(--paper)" strokeWidth="5.5" strokeLinecap="butt" />
      <line
        x1={x1}
        y1={y1}
        x2={x2}
        y2={y2}
        stroke="var(--ink)"
        strokeWidth="2.5"
        strokeDasharray={dashesOf(beam.latestSignalPct)}
      />
      <g transform={`translate(${x1} ${y1}) rotate(${turn})`}>
        <rect x="-20" y="-11" width="22" height="22" fill="var(--ink)" />
      </g>
      <text
        x={x1 - 9 * Math.cos((turn * Math.PI) / 180)}
        y={y1 - 9 * Math.sin((turn * Math.PI) / 180) + 5}
        textAnchor="middle"
        fontSize="14.5"
        fill="var(--paper)"
      >
        {number}
      </text>
      <g transform={`translate(${x2} ${y2}) rotate(${turn})`}>
        {beam.form === "reflective" ? (
          <rect x="-5" y="-5.5" width="11" height="11" fill="var(--paper)" stroke="var(--ink)" strokeWidth="2" />
        ) : (
          <rect x="-6" y="-6.5" width="13" height="13" fill="var(--ink)" />
        )}
      </g>
    </g>
  );
}

function Compass({ x, y }: { x: number; y: number }) {
  return (
    <g transform={`translate(${x} ${y})`}>
      <path d="M0 14V-14M-4 -7L0 -15L4 -7" fill="none" stroke="var(--soft)" strokeWidth="1.5" />
      <text x="0" y="-19" textAnchor="middle" fontSize="15" fill="var(--soft)">
        N
      </text>
    </g>
  );
}

function ScaleBar({ y, layout, unitsPerM }: { y: number; layout: RoofLayout; unitsPerM: number }) {
  const metres = layout.widthM > 120 ? 50 : 20;
  return (
    <g>
      <path d={`M1 ${y - 6}V${y}H${metres * unitsPerM}V${y - 6}`} fill="none" stroke="var(--soft)" strokeWidth="1.5" />
      <text x={metres * unitsPerM + 8} y={y + 2} fontSize="15" fill="var(--soft)">
        {metres} m
      </text>
    </g>
  );
}

function planWords(beams: readonly RoofBeam[]): string {
  const each = beams.map(
    ({ label, bearingDeg, pathLengthM }) =>
      `${label} ${Math.round(pathLengthM)} m towards ${Math.round(bearingDeg)} degrees`,
  );
  return `${beams.length} beams: ${each.join("; ")}.`;
}
