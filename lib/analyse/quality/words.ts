import { countInWords, inWords } from "@/lib/analyse/wording";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";

/** A length of time as a sentence carries it: "45 minutes", "6 hours", "3 days". */
export function lengthInWords(ms: number): string {
  const size = Math.abs(ms);
  if (size < 100 * MINUTE_MS) return countInWords(Math.round(size / MINUTE_MS), "minute");
  if (size < 2 * DAY_MS) return plural(size / HOUR_MS, "hour");
  return countInWords(Math.round(size / DAY_MS), "day");
}

/** A list of names, at most `most` of them: "A, B and 3 more". */
export function namesInWords(names: readonly string[], most = 3): string {
  if (names.length > most + 1) return `${names.slice(0, most).join(", ")} and ${names.length - most} more`;
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} and ${names[names.length - 1] ?? ""}`;
}

function plural(value: number, noun: string): string {
  const text = inWords(value);
  return `${text} ${noun}${text === "1" ? "" : "s"}`;
}
