import type { CellReading, ColumnRule, DateOrder } from "@/lib/import/mapping/mapping";
import { momentText, possibleReadings, readInAnyOrder, readMoment, readTimeCell } from "@/lib/import/mapping/moments";
import { readValue } from "@/lib/import/mapping/numbers";
import { type ColumnForm, formOfColumn } from "@/lib/import/mapping/units";
import { wordLookup } from "@/lib/import/mapping/words";
import type { FoldChoice } from "@/lib/kernel/time";

/** What a rule makes of a foreign text: a cell of ours, a row nobody wants, or a refusal; `unmapped` when no word fits. */
export type MadeCell =
  | { readonly made: "cell"; readonly text: string; readonly unmapped: boolean }
  | { readonly made: "left_out"; readonly unmapped: boolean }
  | { readonly made: "refused"; readonly reason: string; readonly unmapped: boolean };

/** Makes a cell of ours from what stands in theirs; the text is trimmed and not empty. */
export type CellMaker = (text: string) => MadeCell;

/** The maker of the cells of one column of ours; an open question refuses the cells that it leaves in doubt. */
export function cellMaker(column: string, rule: ColumnRule, { fold }: { fold: FoldChoice }): CellMaker {
  const { read } = rule;
  switch (read.as) {
    case "text":
      return cell;
    case "moment":
      return momentMaker(formOfColumn(column), { ...read, fold });
    case "number":
      return numberMaker(column, read);
    case "words":
      return wordMaker(read);
  }
}

/** What an empty text gives: an empty cell, unless words say that such rows are left out or get a word. */
export function madeOfNothing({ read }: ColumnRule): MadeCell {
  if (read.as !== "words") return cell("");
  const { otherwise } = read;
  if (otherwise.do === "leave_out") return { made: "left_out", unmapped: false };
  return cell(otherwise.do === "use" ? (otherwise.ours ?? "") : "");
}

function momentMaker(
  form: ColumnForm,
  { order, zone, fold }: { order: DateOrder | null; zone: string; fold: FoldChoice },
): CellMaker {
  if (form === "clock") {
    return (text) => {
      const time = readTimeCell(text);
      return time.ok ? cell(time.text) : refusal(time.reason);
    };
  }
  const wanted = { form: form === "day" ? "day" : "moment", zone, fold } as const;
  return (text) => {
    const written = order === null ? readInAnyOrder(text) : readMoment(text, order);
    if (written === null) return refusal(`may be ${possibleReadings(text)}; choose the order of dates`);
    if (!written.ok) return refusal(written.reason);
    const made = momentText(written.moment, wanted);
    return made.ok ? cell(made.text) : refusal(made.reason);
  };
}

function numberMaker(column: string, { decimal, unit, fullScale }: Extract<CellReading, { as: "number" }>): CellMaker {
  const conversion = { column, unit, fullScale };
  return (text) => {
    const point = decimal === "comma" ? null : readValue(text, "point", conversion);
    const comma = decimal === "point" ? null : readValue(text, "comma", conversion);
    if (point?.ok && comma?.ok && point.digits !== comma.digits) {
      return refusal(`may be ${point.digits} or ${comma.digits}; choose the decimal sign`);
    }
    const good = point?.ok ? point : comma?.ok ? comma : null;
    if (good?.ok) return cell(good.digits);
    const bad = point ?? comma;
    return refusal(bad === null || bad.ok ? "is not a number" : bad.reason);
  };
}

function wordMaker(read: Extract<CellReading, { as: "words" }>): CellMaker {
  const lookup = wordLookup(read);
  return (text) => {
    const result = lookup(text);
    if (result.found) return cell(result.ours);
    switch (read.otherwise.do) {
      case "refuse":
        return {
          made: "refused",
          reason: "is a word the mapping does not know; add it, or say what others give",
          unmapped: true,
        };
      case "leave_out":
        return { made: "left_out", unmapped: true };
      case "use":
        return { made: "cell", text: read.otherwise.ours ?? "", unmapped: true };
    }
  };
}

function cell(text: string): MadeCell {
  return { made: "cell", text, unmapped: false };
}

function refusal(reason: string): MadeCell {
  return { made: "refused", reason, unmapped: false };
}
