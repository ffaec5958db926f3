import type { ReactNode } from "react";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { DriftFan, type TimeMark } from "@/app/_parts/marks/drift-fan";
import { HoldBars } from "@/app/_parts/marks/hold-bars";
import { tableOf } from "@/app/_parts/marks/picture-table";
import { RateSteps } from "@/app/_parts/marks/rate-steps";
import { SeasonRose } from "@/app/_parts/marks/season-rose";
import { Table } from "@/app/_parts/table";
import type { Picture } from "@/lib/analyse/picture";

/** The picture that shows a finding, how to read it, and its numbers; `name` is the finding's own on the page. */
export function FindingPicture({
  name,
  picture,
  asOf,
  timeZone,
  format,
  work = [],
  faults = [],
}: {
  name: string;
  picture: Picture;
  asOf: number;
  timeZone: string;
  format: Format;
  work?: readonly TimeMark[];
  faults?: readonly number[];
}) {
  return (
    <figure className="min-w-0">
      {drawn({ picture, asOf, format, work, faults })}
      <figcaption className="mt-3 max-w-[70ch] text-sm text-soft">{readingOf(picture)}</figcaption>
      <DataBehind summary={`${name}, the numbers`}>
        <Table caption={name} stacks={false} {...tableOf(picture, { format, timeZone })} />
      </DataBehind>
    </figure>
  );
}

function drawn({
  picture,
  asOf,
  format,
  work,
  faults,
}: {
  picture: Picture;
  asOf: number;
  format: Format;
  work: readonly TimeMark[];
  faults: readonly number[];
}): ReactNode {
  if (picture.type === "rate") return <RateSteps picture={picture} format={format} />;
  if (picture.type === "rose") return <SeasonRose picture={picture} format={format} />;
  if (picture.type === "hold") return <HoldBars picture={picture} format={format} />;
  return <DriftFan picture={picture} asOf={asOf} format={format} work={work} faults={faults} />;
}

/** How to read a picture, in a sentence or two. */
function readingOf(picture: Picture): string {
  if (picture.type === "rate") {
    return "Columns: fault episodes in 30 days observed, by month; broken where nothing was observed. Steps: the rate before and inside the recent window, shaded by its interval.";
  }
  if (picture.type === "rose") {
    const around = picture.circle === "year" ? "1 January at the top" : "midnight at the top";
    const sun = picture.sunArcs.length > 0 ? " Arcs outside: the sun stands within the receiver’s view." : "";
    return `Clockwise, ${around}. Bars: unwanted alarms per 100 days observed. Shaded: the window of the finding. Rings: the alarms.${sun}`;
  }
  if (picture.type === "hold") {
    return "A bar for each alignment, as long as it held. Cross: ended in a reactive realignment. Arrow: ended otherwise, or holds still. Broken line: half of the fleet holds longer.";
  }
  const what = picture.quantity === "signal" ? "signal" : "compensation used";
  return `Dots: weekly median of the ${what}. Line: robust fit with its thermal swing, new after each service. Broken line and fan: forecast with its 90 % interval.`;
}
