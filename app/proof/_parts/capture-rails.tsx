import type { ReactNode } from "react";
import type { Format } from "@/app/_parts/format";
import { across, Label, Mark } from "@/app/_parts/marks/mark";
import type { CaptureMethod, CapturePoint, MethodCapture } from "@/lib/rank/backtest/backtest-result";

const ROW = 46;
const TOP = 30;
const RAIL = 27;
const ticks = [0, 0.25, 0.5, 0.75, 1] as const;
const ours: readonly CaptureMethod[] = ["avoided_cost", "expected_cost"];

/** One rail for each way of choosing, from nothing to all of the cost; a mark of its own shape for each share of detectors. */
export function CaptureRails({
  capture,
  methodWords,
  format,
}: {
  capture: readonly MethodCapture[];
  methodWords: Readonly<Record<CaptureMethod, string>>;
  format: Format;
}) {
  const height = TOP + capture.length * ROW;
  return (
    <>
      <Legend points={capture[0]?.points ?? []} format={format} />
      <Mark
        title="Share of the cost that followed, by how the first detectors were chosen"
        description={captureWords(capture, { methodWords, format })}
        heightPx={height}
      >
        {ticks.map((tick) => (
          <g key={tick}>
            <line x1={across(tick)} x2={across(tick)} y1={TOP - 8} y2={height - 8} stroke="var(--rule)" />
            <Label x={across(tick)} y={TOP - 14} anchor={tick === 0 ? "start" : tick === 1 ? "end" : "middle"}>
              {format.share(tick)}
            </Label>
          </g>
        ))}
        {capture.map(({ method, points }, index) => (
          <Rail
            key={method}
            words={methodWords[method]}
            points={points}
            y={TOP + index * ROW}
            isOurs={ours.includes(method)}
          />
        ))}
      </Mark>
    </>
  );
}

function Rail({
  words,
  points,
  y,
  isOurs,
}: {
  words: string;
  points: readonly CapturePoint[];
  y: number;
  isOurs: boolean;
}) {
  const ink = isOurs ? "var(--accent)" : "var(--ink)";
  const known = points.flatMap(({ held }) => held ?? []);
  return (
    <>
      <Label x="0" y={y + 13} strong={isOurs}>
        {words}
      </Label>
      <line x1="0" x2="100%" y1={y + RAIL} y2={y + RAIL} stroke="var(--rule)" />
      {known.length > 0 ? (
        <line
          x1={across(Math.min(...known))}
          x2={across(Math.max(...known))}
          y1={y + RAIL}
          y2={y + RAIL}
          stroke={ink}
          strokeWidth={isOurs ? 3 : 1.5}
        />
      ) : null}
      {points.map(({ share, held }, place) =>
        held === null ? null : (
          <svg key={share} x={across(held)} y={y + RAIL} overflow="visible" aria-hidden="true">
            <Shape place={place} ink={ink} />
          </svg>
        ),
      )}
    </>
  );
}

/** The mark of a share of detectors, told apart by shape: a tick, a disc, a ring, an open square. */
function Shape({ place, ink }: { place: number; ink: string }): ReactNode {
  if (place === 0) return <line y1="-7" y2="7" stroke={ink} strokeWidth="3" />;
  if (place === 1) return <circle r="5.5" fill={ink} />;
  if (place === 2) return <circle r="5" fill="var(--paper)" stroke={ink} strokeWidth="2" />;
  return <rect x="-5" y="-5" width="10" height="10" fill="var(--paper)" stroke={ink} strokeWidth="2" />;
}

function Legend({ points, format }: { points: readonly CapturePoint[]; format: Format }) {
  return (
    <ul className="mb-5 flex flex-wrap gap-x-6 gap-y-1 text-sm" aria-label="Marks">
      {points.map(({ share }, place) => (
        <li key={share} className="inline-flex items-center gap-2">
          <svg width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
            <Shape place={place} ink="var(--ink)" />
          </svg>
          the first {format.share(share)}
        </li>
      ))}
    </ul>
  );
}

function captureWords(
  capture: readonly MethodCapture[],
  { methodWords, format }: { methodWords: Readonly<Record<CaptureMethod, string>>; format: Format },
): string {
  const said = capture.map(({ method, points }) => {
    const shares = points.map(({ share, held }) =>
      held === null ? "nothing known" : `${format.share(held)} at ${format.share(share)}`,
    );
    return `${methodWords[method]}: ${shares.join(", ")}`;
  });
  return `Share of the cost held by the first detectors. ${said.join("; ")}.`;
}
