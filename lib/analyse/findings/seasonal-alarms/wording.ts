import type { Threat } from "@/lib/analyse/findings/kind";
import type { Pattern } from "@/lib/analyse/findings/seasonal-alarms/patterns";
import { countInWords, intervalInWords, inWords, yearFractionInWords } from "@/lib/analyse/wording";

/** The question the kind answers. */
export const question = "Do its unwanted alarms cluster in a part of the year or of the day?";
/** What its effect is measured in. */
export const effectUnit = "times the share that an even spread would give";

const because: Readonly<Partial<Record<Threat, string>>> = {
  "low sun": "the low sun stands in the receiver's view then",
  "cold or steam mornings": "they come on cold mornings",
  insects: "they come in warm nights, when insects fly",
  "seasonal stock": "they come in the weeks of peak stock, in working hours",
};

/** One sentence on where alarms crowd, how strongly, and the cause that fits. */
export function sentence(
  pattern: Pattern,
  { low, high, value, threat }: { value: number; low: number; high: number; threat: Threat | null },
): string {
  const where = placeInWords(pattern);
  const reason = threat === null ? undefined : because[threat];
  const effect = `${inWords(value)} times their even share (${intervalInWords(low, high)})`;
  return `${pattern.inside} of ${countInWords(pattern.total, "unwanted alarm")} ${where}: ${effect}${reason ? `; ${reason}` : ""}.`;
}

/** Where on the year or the day the alarms of a pattern crowd. */
export function placeInWords({ kind, windows }: Pattern): string {
  if (kind === "sun") return "came with the sun in the receiver's view";
  const centres = windows.map(({ from, to }) => (from + to) / 2);
  if (kind === "day") return `fall within the six hours around ${hourInWords(centres[0] ?? 0)}`;
  const weeks = kind === "year" ? "13 weeks" : "seven weeks each";
  return `fall in the ${weeks} around ${centres.map(yearFractionInWords).join(" and ")}`;
}

/** Why there is no test: too few alarm events, each a cause that may have come back for days. */
export function tooFew(events: number, least: number): string {
  return `too few events to judge: ${countInWords(events, "unwanted-alarm event")}, ${least} are needed`;
}

/** Why there is no test: a season needs two cycles, and the sun never stands in the receiver's view. */
export function tooShort(days: number, least: number): string {
  return `watched for ${Math.floor(days)} days; a season needs ${least}`;
}

function hourInWords(fraction: number): string {
  return `${String(Math.round(fraction * 24) % 24).padStart(2, "0")}:00`;
}
