import type { ReactNode } from "react";
import type { Picture } from "@/lib/analyse/picture";

/** The picture of a finding with the words that say how to read it. */
export function PictureFrame({ picture, children }: { picture: Picture; children: ReactNode }) {
  return (
    <figure className="min-w-0">
      {children}
      <figcaption className="mt-3 max-w-[70ch] text-sm text-soft">{readingOf(picture)}</figcaption>
    </figure>
  );
}

function readingOf(picture: Picture): string {
  if (picture.type === "rate") {
    return "Columns: fault episodes in 30 days observed, by month; broken where nothing was observed. Steps: the rate before and inside the recent window, shaded by its interval.";
  }
  if (picture.type === "rose") {
    const around = picture.circle === "year" ? "1 January at the top" : "midnight at the top";
    const window = picture.window ? " Outlined: the window of the finding." : "";
    const sun = picture.sunArcs.length > 0 ? " Arcs outside: the sun stands within the receiver’s view." : "";
    return `Clockwise, ${around}. Bars: unwanted alarms per 100 days observed. Rings: the alarms.${window}${sun}`;
  }
  if (picture.type === "hold") {
    return "A bar for each alignment, as long as it held. Cross: ended in a reactive realignment. Arrow: ended otherwise, or holds still. Broken line: half of the fleet holds longer.";
  }
  const what = picture.quantity === "signal" ? "signal" : "compensation used";
  return `Dots: weekly median of the ${what}. Line: robust fit with its thermal swing, new after each service. Broken line and fan: forecast with its 90 % interval. Below the axis: fault episodes as ticks, work as triangles.`;
}
