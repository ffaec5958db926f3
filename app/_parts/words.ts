import type { Access, FaultCause, Form, Task } from "@/lib/records/vocabulary";

/** Tasks as people read them. */
export const taskWords: Readonly<Record<Task, string>> = {
  clean: "Clean",
  realign: "Realign",
  filter_test: "Filter test",
  block_test: "Block test",
  repair: "Repair",
  replace: "Replace",
  survey: "Survey",
};

/** Ways of reaching a detector as people read them. */
export const accessWords: Readonly<Record<Access, string>> = {
  ladder: "ladder",
  tower: "tower",
  scissor_lift: "scissor lift",
  boom_lift: "boom lift",
};

/** Forms of a detector as people read them. */
export const formWords: Readonly<Record<Form, string>> = { reflective: "reflective", end_to_end: "end to end" };

const causeWords: Readonly<Record<FaultCause, string>> = {
  low_signal: "low signal",
  path_blocked: "path blocked",
  compensation_limit: "compensation limit",
  power: "power",
  communication: "communication",
  unknown: "unknown",
};

/** A stored cause as people read it; a text of its own is kept. */
export function causeInWords(cause: string): string {
  return Object.entries(causeWords).find(([key]) => key === cause)?.[1] ?? cause.replaceAll("_", " ");
}

/** A count with its noun: `1 visit`, `12 visits`. */
export function counted(count: number, noun: string, { plural = `${noun}s`, write = String }: CountedOptions = {}) {
  return `${write(count)} ${count === 1 ? noun : plural}`;
}

type CountedOptions = { readonly plural?: string; readonly write?: (count: number) => string };
