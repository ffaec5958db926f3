import type { Threat } from "@/lib/analyse/findings/kind";
import type { Pattern } from "@/lib/analyse/findings/seasonal-alarms/patterns";
import type { CalendarWindow } from "@/lib/analyse/templates";
import { countInWords, intervalInWords, inWords, yearFractionInWords } from "@/lib/analyse/wording";

/** The question the kind answers. */
export const question = "Do its unwanted alarms cluster in a part of the year or of the day?";
/** What its effect is measured in. */
export const effectUnit = "times the share that an even spread would give";

const because: Readonly<Partial<Record<Threat, string>>> = {
  "low sun": "the low sun stands in the receiver's view then",
  "cold or steam mornings": "steam and condensation come on cold mornings",
  insects: "insects fly in warm nights",
  "seasonal stock": "peak weeks of stock, in working hours",
  soiling: "they come when the margin is thin, whatever the season",
};

/** One sentence on where alarms crowd, how strongly, and the cause that fits. */
export function sentence(
  pattern: Pattern,
  { low, high, value, threat }: { value: number; low: number; high: number; threat: Threat | null },
): string {
  const reason = threat === null ? undefined : because[threat];
  const effect = `${inWords(value)} times their even share (${intervalInWords(low, high)})`;
  return `${pattern.inside} of ${countInWords(pattern.total, "unwanted alarm")} ${placeInWords(pattern)}: ${effect}${reason ? `; ${reason}` : ""}.`;
}

/** Where on the year and the day the alarms of a pattern crowd. */
export function placeInWords({ kind, window }: Pattern): string {
  if (kind === "sun" || window === null) return "came with the sun in the receiver's view";
  const hours = hoursInWords(window.hours);
  if (kind === "cold days") return `came on the coldest third of days, ${hours ?? "at any hour"}`;
  const { year } = window;
  if (year === null) return `fall ${hours ?? "at any hour"}`;
  // The last day of a stretch is the one before it ends.
  const dates = `from ${yearFractionInWords(year.from)} to ${yearFractionInWords(year.to - 1 / 365)}`;
  return hours === null ? `fall ${dates}` : `fall ${dates}, ${hours}`;
}

function hoursInWords({ from, to }: CalendarWindow["hours"]): string | null {
  return to - from === 24 ? null : `between ${clockInWords(from)} and ${clockInWords(to)}`;
}

function clockInWords(hour: number): string {
  const minutes = (Math.round(hour * 60) + 24 * 60) % (24 * 60);
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}

/** Why there is no test: too few alarm events, each a cause that may have come back for days. */
export function tooFew(events: number, least: number): string {
  return `too few events to judge: ${countInWords(events, "unwanted-alarm event")}, ${least} are needed`;
}

/** Why there is no test: a season needs two cycles, and the sun never stands in the receiver's view. */
export function tooShort(days: number, least: number): string {
  return `watched for ${Math.floor(days)} days; a season needs ${least}`;
}
