import type { ColumnEvidence } from "@/lib/import/mapping/evidence";
import type { MappingDraft } from "@/lib/import/mapping/mapping";
import type { Against, NumberEvidence } from "@/lib/import/mapping/number-evidence";
import { type DecimalSign, readNumber } from "@/lib/import/mapping/numbers";
import type { Question } from "@/lib/import/mapping/settle";

type Column = ColumnEvidence<NumberEvidence>;
const signs = ["point", "comma"] as const;

/** What the numbers of a file say: the sign of each column that was open, why, and what is left to ask. */
export type SettledDecimals = {
  readonly signs: ReadonlyMap<string, DecimalSign>;
  readonly notes: readonly string[];
  readonly questions: readonly Question[];
};

/**
 * Settles the decimal sign of all columns together, since one file has one; when its columns contradict one another,
 * each alone. How a number is written counts before the range of its column.
 */
export function settleDecimals(mapping: MappingDraft, columns: readonly Column[]): SettledDecimals {
  const chosen = new Map<string, DecimalSign>();
  const notes: string[] = columns.flatMap((column) => belowZero(mapping, column));
  const questions: Question[] = [];
  const open: Column[] = [];
  for (const column of columns) {
    const read = mapping.columns[column.column]?.read;
    const stated = read?.as === "number" ? read.decimal : null;
    if (stated === null) open.push(column);
    else questions.push(...contradicted(stated, column));
  }
  const together = signs.some((sign) => open.every(({ seen }) => !seen.unreadable.has(sign)));
  for (const group of together ? [open] : open.map((one) => [one])) {
    const result = settleGroup(group);
    if (result === null) continue;
    if ("about" in result) questions.push(result);
    else {
      for (const { column } of group) chosen.set(column, result.sign);
      if (result.why !== null) notes.push(result.why);
    }
  }
  return { signs: chosen, notes, questions };
}

function settleGroup(group: readonly Column[]): Question | { sign: DecimalSign; why: string | null } | null {
  if (group.length === 0) return null;
  const written = groupAgainst(group, ({ unreadable }) => unreadable);
  if (written.length === 1 && written[0]) return decided(written[0], "is not written so");
  if (written.length > 1) return ask(group, written[0]?.first ?? null, mixed(written));
  const ranged = groupAgainst(group, ({ outOfRange }) => outOfRange);
  const doubtful = group.flatMap(({ seen }) => seen.doubtful ?? [])[0];
  // A single slip of the hand puts a number out of range as well, so range decides only where it leaves no doubt at all.
  if (ranged.length === 1 && ranged[0] && !doubtful) return decided(ranged[0], "would be out of its range");
  const sample = ranged[0]?.first ?? doubtful;
  if (sample === undefined) return { sign: "point", why: null };
  return ask(
    group,
    sample,
    `${sample.value} on line ${sample.line} may be a whole number with its thousands marked or one with decimals, and no number of the file decides`,
  );
}

type Found = Against & { readonly sign: DecimalSign };

function groupAgainst(
  group: readonly Column[],
  of: (seen: NumberEvidence) => ReadonlyMap<DecimalSign, Against>,
): Found[] {
  return signs.flatMap((sign) => {
    const found = group.flatMap(({ seen }) => of(seen).get(sign) ?? []);
    const [first] = found;
    return first ? [{ sign, first: first.first, count: found.reduce((sum, one) => sum + one.count, 0) }] : [];
  });
}

function decided({ sign, first }: Found, why: string): { sign: DecimalSign; why: string } {
  const other = sign === "point" ? "comma" : "point";
  return {
    sign: other,
    why: `numbers are read with a decimal ${other}: line ${first.line} has ${first.value}, which with a decimal ${sign} ${why}`,
  };
}

function mixed(found: readonly Found[]): string {
  const why = found.map(({ sign, first }) => `line ${first.line} has ${first.value}, which has no decimal ${sign}`);
  return `the numbers contradict one another: ${why.join("; ")}. Mend the file, or choose a sign; rows that cannot be read with it are refused`;
}

/** A stated sign that more numbers speak against than for: most likely a file from elsewhere. */
function contradicted(stated: DecimalSign, column: Column): Question[] {
  const other = stated === "point" ? "comma" : "point";
  const against = column.seen.unreadable.get(stated);
  if (!against || (column.seen.unreadable.get(other)?.count ?? 0) >= against.count) return [];
  const reason = `the mapping says decimal ${stated}, but line ${against.first.line} has ${against.first.value}, and ${against.count} of ${column.seen.numbers} numbers are written so`;
  return [ask([column], against.first, reason)];
}

/** Attenuation below zero is a signal above 100 %; a column that is mostly so is more likely a gain. */
function belowZero(mapping: MappingDraft, { column, source, seen }: Column): string[] {
  const read = mapping.columns[column]?.read;
  if (read?.as !== "number" || read.unit !== "decibel" || seen.negative * 2 <= seen.numbers) return [];
  return [
    `${seen.negative} of ${seen.numbers} values of ${source.columns.join(", ")} are below 0 dB, which as an attenuation is a signal above 100 %; if they tell a loss, choose decibel_gain`,
  ];
}

function ask(group: readonly Column[], sample: { value: string } | null, reason: string): Question {
  const value = sample?.value ?? "";
  return {
    about: "decimal",
    columns: [...new Set(group.flatMap(({ source }) => source.columns))],
    ours: group.map(({ column }) => column),
    sample: value,
    reason,
    options: signs.map((answer) => {
      const result = readNumber(value, { decimal: answer, unit: "number" });
      return {
        answer,
        label: `decimal ${answer}`,
        reads: result.ok ? result.digits : null,
        suggested: false,
      };
    }),
  };
}
