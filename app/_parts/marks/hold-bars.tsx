import type { Format } from "@/app/_parts/format";
import { across, anchorAt, Label, Mark } from "@/app/_parts/marks/mark";
import { PictureFrame } from "@/app/_parts/marks/picture-frame";
import type { HoldPicture } from "@/lib/analyse/picture";

const ROW = 40;
const TOP = 26;

/** One bar for each alignment, as long as it held; the fleet's median stands as a line behind. */
export function HoldBars({ picture, format }: { picture: HoldPicture; format: Format }) {
  const { holds, fleetMedianDays } = picture;
  const longest = Math.max(1, ...holds.map(({ days }) => days), fleetMedianDays ?? 0) * 1.04;
  const height = TOP + holds.length * ROW;
  const median = fleetMedianDays === null ? null : fleetMedianDays / longest;
  return (
    <PictureFrame picture={picture}>
      <Mark title="How long each alignment held" description={holdWords(picture, format)} heightPx={height}>
        {median === null ? null : (
          <>
            <line
              x1={across(median)}
              x2={across(median)}
              y1={TOP - 6}
              y2={height}
              stroke="var(--accent)"
              strokeWidth="1.5"
              strokeDasharray="5 4"
            />
            <Label
              x={across(median)}
              y={12}
              anchor={anchorAt(median) === "middle" && median > 0.6 ? "end" : anchorAt(median)}
            >
              {`half of the fleet holds ${format.number(fleetMedianDays ?? 0)} days`}
            </Label>
          </>
        )}
        {holds.map((hold, index) => (
          <Hold
            key={hold.from}
            hold={hold}
            y={TOP + index * ROW}
            share={hold.days / longest}
            text={`${format.day(hold.from)}: ${format.number(hold.days)} days, ${hold.ending}`}
          />
        ))}
      </Mark>
    </PictureFrame>
  );
}

function Hold({
  hold,
  y,
  share,
  text,
}: {
  hold: HoldPicture["holds"][number];
  y: number;
  share: number;
  text: string;
}) {
  const end = across(share);
  return (
    <>
      <Label x="0" y={y + 12}>
        {text}
      </Label>
      <rect x="0" y={y + 19} width={end} height="9" fill={hold.failed ? "var(--ink)" : "var(--faint)"} />
      <svg x={end} y={y + 19} overflow="visible" aria-hidden="true">
        {hold.failed ? (
          <path d="M3 -1L11 10M11 -1L3 10" stroke="var(--worse)" strokeWidth="2" />
        ) : (
          <path d="M3 4.5H12M8 0.5L12 4.5L8 8.5" stroke="var(--faint)" strokeWidth="1.75" fill="none" />
        )}
      </svg>
    </>
  );
}

function holdWords({ holds, fleetMedianDays }: HoldPicture, format: Format): string {
  const failed = holds.filter((hold) => hold.failed).length;
  const each = holds.map((hold) => `from ${format.day(hold.from)} ${format.number(hold.days)} days`).join(", ");
  const fleet =
    fleetMedianDays === null ? "" : ` Half of the fleet holds longer than ${format.number(fleetMedianDays)} days.`;
  return `${holds.length} alignments, ${failed} ended in a reactive realignment: ${each}.${fleet}`;
}
