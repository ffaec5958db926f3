import type { Chance } from "@/lib/kernel/chance";

/** A cell as a sender might write it, and what it means; `null` meaning for an absent optional one; refused when it is wrong. */
export type FuzzCell =
  | { readonly text: string; readonly means: string | number | boolean | null }
  | { readonly text: string; readonly refused: true };

const good = (text: string, means: string | number | boolean | null): FuzzCell => ({ text, means });
const bad = (text: string): FuzzCell => ({ text, refused: true });

/** One of a list. */
export function pick<const Value>(chance: Chance, list: readonly [Value, ...Value[]]): Value {
  return list[Math.floor(chance() * list.length)] ?? list[0];
}

/** A whole number below `limit`. */
export function below(chance: Chance, limit: number): number {
  return Math.floor(chance() * limit);
}

// What follows was written from docs/interchange.md, not from the code: it is the truth the code is held against. Ways to
// write that are not ours but can be read in one way only, such as a typographic minus, are left out: both is right.
const badNumbers = [
  "abc",
  "1e3",
  "NaN",
  "Infinity",
  "-Infinity",
  "0x10",
  "9 0",
  "--5",
  "1.2.3",
  "+-1",
  "\uff19\uff10",
  "\u0669\u0660",
  "90\u0000",
  "9\u200b0",
  "\u202e90",
  "=1+1",
  "@SUM(1)",
  "'90",
  ".",
  "+",
  "-",
  "null",
  "undefined",
  "true",
  "1_000",
  "$1",
  "9".repeat(400),
  "9".repeat(5_000),
].map(bad);

/** A number of a column with a range; `optional` when it may be empty. */
export function numberCell(
  chance: Chance,
  { min, max, optional, wrong }: { min: number; max: number; optional: boolean; wrong: boolean },
): FuzzCell {
  if (wrong) {
    const outside = [bad(String(max + 1)), bad(`${max}.0001`), bad(String(min - 1)), bad((min - 0.01).toFixed(2))];
    const [first = bad("abc"), ...rest] = [
      ...badNumbers,
      ...outside,
      ...(min < 0 ? [bad("90%"), bad("20 F")] : [bad("90 dB")]),
      ...(optional ? [] : [bad(""), bad("  ")]),
    ];
    return pick(chance, [first, ...rest]);
  }
  if (optional && chance() < 0.2) return pick(chance, [good("", null), good("   ", null)]);
  const hundredths = Math.round((min + (max - min) * chance()) * 100);
  const value = hundredths / 100;
  const plain = value.toFixed(2);
  const ways: [FuzzCell, ...FuzzCell[]] = [
    good(plain, value),
    good(String(value), value),
    good(`${plain}0`, value),
    good(`  ${plain} `, value),
    good(`\u00a0${plain}`, value),
    good(String(Math.trunc(value)), Math.trunc(value)),
    good(`${Math.trunc(value)}.`, Math.trunc(value)),
    good(String(min), min),
    good(String(max), max),
    good(value < 0 ? plain : `+${plain}`, value),
    good(value < 0 ? plain : `00${plain}`, value),
  ];
  return pick(chance, ways);
}

const badTimes = [
  "yesterday",
  "2025-02-30T00:00:00Z",
  "2025-13-01T00:00:00Z",
  "2025-00-10T00:00:00Z",
  "2025-01-01",
  "2025-01-01T24:00:00Z",
  "2025-01-01T10:60:00Z",
  "2025-01-01T10:00:60Z",
  "25-01-01T10:00:00Z",
  "2025-01-01T10:00:00+15:00",
  "2025-01-01T10:00:00+02:99",
  "2999-01-01T00:00:00Z",
  "1970-01-01T00:00:00Z",
  "0000-00-00T00:00:00Z",
  "9999-12-31T23:59:59Z",
  "+020255-01-01T00:00:00Z",
  "2025-01-01T10:00:00Z; DROP TABLE readings",
  "45678.5",
  "1735689600000",
  "\uff12\uff10\uff12\uff15-01-01T00:00:00Z",
  "",
].map(bad);

/** A moment; the one meant is `at`, in UTC, however it is written. */
export function momentCell(chance: Chance, { at, wrong }: { at: number; wrong: boolean }): FuzzCell {
  if (wrong) return badTimes[below(chance, badTimes.length)] ?? bad("");
  const iso = new Date(at).toISOString();
  const offsetMin = pick(chance, [0, 60, -210, 330, 840, -840]);
  const local = new Date(at + offsetMin * 60_000).toISOString().slice(0, 19);
  const sign = offsetMin < 0 ? "-" : "+";
  const [hours, minutes] = [Math.floor(Math.abs(offsetMin) / 60), Math.abs(offsetMin) % 60].map((part) =>
    String(part).padStart(2, "0"),
  );
  return pick(chance, [
    good(iso, at),
    good(iso.replace(".000", ""), at),
    good(iso.replace("T", " "), at),
    good(`${local}${sign}${hours}:${minutes}`, at),
    good(`${local}${sign}${hours}${minutes}`, at),
    // The site of these detectors keeps UTC, so its wall time is UTC.
    good(iso.slice(0, 19), at),
    good(` ${iso} `, at),
    good(iso.replace(".000Z", ".000999Z"), at),
  ]);
}

const goodTexts = [
  "plain",
  "Bracket, loose",
  'said "done"',
  "a;b|c\td",
  "two\nlines",
  "=1+1",
  "+44 123",
  "-",
  "@home",
  "'quoted",
  "ÅÄÖ åäö €",
  "\u202eright to left",
  "e\u0301",
  "\ud83d\udd25",
  "NULL",
  "undefined",
  "x".repeat(2_000),
  "<script>alert(1)</script>",
  "{{7*7}}",
  "../../etc/passwd",
  "0",
  "__proto__",
];

/** Free text, which may be empty. */
export function textCell(chance: Chance, { wrong }: { wrong: boolean }): FuzzCell {
  if (wrong) return pick(chance, [bad("x".repeat(2_001)), bad("a\u0000b"), bad("bell\u0007"), bad("x".repeat(20_000))]);
  if (chance() < 0.2) return good("", null);
  const text = goodTexts[below(chance, goodTexts.length)] ?? "plain";
  return good(chance() < 0.2 ? ` ${text} ` : text, text);
}

/** One word of a list. */
export function wordCell(
  chance: Chance,
  words: readonly [string, ...string[]],
  { wrong, optional }: { wrong: boolean; optional: boolean },
): FuzzCell {
  if (wrong) {
    return pick(chance, [
      bad("no_such_word"),
      bad(`${words[0]}s`),
      bad("constructor"),
      bad("\u0000"),
      bad("=cmd|'/c'!A0"),
    ]);
  }
  if (optional && chance() < 0.3) return good("", null);
  const word = pick(chance, words);
  return good(chance() < 0.1 ? ` ${word}` : word, word);
}
