/** Languages whose names of months and weekdays are read; those of the first eight also cut to three or four letters. */
const languages = [
  "en",
  "de",
  "fr",
  "es",
  "it",
  "nl",
  "sv",
  "pt",
  "da",
  "nb",
  "fi",
  "pl",
  "cs",
  "sk",
  "sl",
  "hr",
  "hu",
  "ro",
  "et",
  "lv",
  "lt",
  "ca",
] as const;
const CUT_LANGUAGES = 8;

/** Month 1..12 of a name in one of the languages; null for a name nobody has, or that means two months in two languages. */
export function monthOfName(name: string): number | null {
  tables ??= makeTables();
  return tables.months.get(nameForm(name)) ?? null;
}

/** Whether a word is the name of a weekday, whole or short, in one of the languages. */
export function isWeekday(name: string): boolean {
  tables ??= makeTables();
  return tables.weekdays.has(nameForm(name));
}

type Tables = { readonly months: ReadonlyMap<string, number | null>; readonly weekdays: ReadonlySet<string> };
// Made at the first use: a few hundred names cost more than most imports need.
let tables: Tables | null = null;

function makeTables(): Tables {
  const months = new Map<string, number | null>();
  const cuts = new Map<string, number | null>();
  const weekdays = new Set<string>();
  for (const [rank, language] of languages.entries()) {
    const monthFormats = formatsOf(language, "month");
    for (let month = 1; month <= 12; month += 1) {
      for (const form of namesOf(Date.UTC(2026, month - 1, 1), monthFormats, "month")) {
        put(months, form, month);
        if (rank < CUT_LANGUAGES) for (const size of [3, 4]) put(cuts, form.slice(0, size), month);
      }
    }
    const dayFormats = formatsOf(language, "weekday");
    for (let day = 1; day <= 7; day += 1) {
      for (const form of namesOf(Date.UTC(2026, 1, day), dayFormats, "weekday")) weekdays.add(form);
    }
  }
  // Cut by its consonants rather than by its first letters.
  months.set("mrz", 3);
  for (const [name, month] of cuts) if (!months.has(name) && name.length >= 3) months.set(name, month);
  return { months, weekdays };
}

/** A name two months share in two languages stands for neither. */
function put(names: Map<string, number | null>, name: string, month: number): void {
  if (/^\d*$/.test(name)) return;
  const known = names.get(name);
  names.set(name, known === undefined || known === month ? month : null);
}

/** Long and short names, alone and, as many languages inflect the month, inside a date. */
function formatsOf(language: string, what: "month" | "weekday"): Intl.DateTimeFormat[] {
  return (["long", "short"] as const).flatMap((size) => {
    const alone: Intl.DateTimeFormatOptions = { [what]: size, timeZone: "UTC" };
    const forms = what === "month" ? [alone, { ...alone, day: "numeric" as const }] : [alone];
    return forms.map((options) => new Intl.DateTimeFormat(language, options));
  });
}

function namesOf(at: number, formats: readonly Intl.DateTimeFormat[], what: "month" | "weekday"): string[] {
  const parts = formats.flatMap((format) => format.formatToParts(at)).filter((part) => part.type === what);
  return parts.flatMap((part) => formsOf(part.value));
}

/** A name without accents, and with them written out the German way. */
function formsOf(name: string): string[] {
  const low = name.toLowerCase();
  const writtenOut = low.replace(/ä/g, "ae").replace(/ö/g, "oe").replace(/ü/g, "ue");
  return [...new Set([nameForm(low), nameForm(writtenOut)])];
}

function nameForm(name: string): string {
  return name
    .toLowerCase()
    .normalize("NFD")
    .replace(/[\u0300-\u036f.\s]/g, "")
    .replace(/ł/g, "l")
    .replace(/ø/g, "o");
}
