import { exposureOnYear } from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import type { Pattern } from "@/lib/analyse/findings/seasonal-alarms/patterns";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { RosePicture } from "@/lib/analyse/picture";
import { arcsOf, lookDirections, type Skies, sunGrid } from "@/lib/analyse/sun-views";
import { lengthOf } from "@/lib/kernel/interval";
import { hourOfDay, yearFraction } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";

const BINS = 24;

/** The rose of a detector's alarms: the day where its pattern is one of hours alone, else the year. */
export function pictureOf(history: DetectorHistory, { kind, window }: Pattern, skies: Skies): RosePicture {
  const { detector, site, exposure, alarmClusters } = history;
  const onDay = kind !== "sun" && window?.year === null;
  const marks = alarmClusters.map(({ beganAt }) => {
    return onDay ? hourOfDay(beganAt, site.timeZone) / 24 : yearFraction(beganAt, site.timeZone);
  });
  const days = onDay
    ? new Array<number>(BINS).fill(lengthOf(exposure.observed) / DAY_MS)
    : exposureOnYear(exposure.observed, site, BINS);
  return {
    type: "rose",
    circle: onDay ? "day" : "year",
    bins: days.map((exposureDays, bin) => {
      const events = marks.filter((mark) => Math.min(BINS - 1, Math.floor(mark * BINS)) === bin).length;
      return { events, exposureDays, rate: exposureDays > 0 ? (100 * events) / exposureDays : null };
    }),
    window: windowOf(window, onDay),
    sunArcs: onDay ? [] : arcsOf(sunGrid(lookDirections(detector), skies(site))),
    marks,
  };
}

function windowOf(window: Pattern["window"], onDay: boolean): RosePicture["window"] {
  if (window === null) return null;
  const stretch = onDay ? { from: window.hours.from / 24, to: window.hours.to / 24 } : window.year;
  if (stretch === null) return null;
  return { from: stretch.from, to: stretch.to > stretch.from ? stretch.to : stretch.to + 1 };
}
