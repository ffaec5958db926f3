import { CELLS_LIMIT, type SplitRecord } from "@/lib/import/split-records";
import type { FormatKind } from "@/lib/import/table/number-format";
import { workbookNumber } from "@/lib/import/table/workbook-number";
import { isTrue, plainText } from "@/lib/import/table/workbook-parts";
import { XmlWalk } from "@/lib/import/table/xml-walk";

/** What the cells of a sheet refer to in the rest of their workbook. */
export type SheetSetting = {
  /** Text of a number in the list of shared texts; null beyond its end. */
  readonly textAt: (index: number) => string | null;
  readonly styles: readonly FormatKind[];
  readonly from1904: boolean;
};

type OpenCell = {
  column: number;
  type: string;
  style: number;
  value: string | null;
  text: string | null;
  formula: boolean;
};

/** Columns and rows a sheet can have. */
const COLUMNS_END = 16_384;
const ROWS_END = 1_048_576;

/**
 * Reads the rows of a sheet from pieces of its XML: `write` them, then `end`; both give the rows that are complete.
 *
 * A row has the cells up to its last filled one; a row without any is none. Its line is its number in the sheet. A cell
 * that cannot be read is a flaw of its row. Both throw an Error when the sheet is not well formed.
 */
export class SheetReader {
  private readonly walk: XmlWalk;
  private rows: SplitRecord[] = [];
  private line = 0;
  private cells: string[] = [];
  private flaw: string | null = null;
  private nextColumn = 0;
  private cell: OpenCell | null = null;
  private into: "value" | "text" | null = null;
  private inData = false;
  private phonetic = false;

  constructor(private readonly setting: SheetSetting) {
    this.walk = new XmlWalk({
      open: (name, attributes) => this.open(name, attributes),
      text: (text) => this.take(text),
      close: (name) => this.close(name),
    });
  }

  write(piece: string): SplitRecord[] {
    this.walk.write(piece);
    return this.given();
  }

  end(): SplitRecord[] {
    this.walk.end();
    return this.given();
  }

  private given(): SplitRecord[] {
    const { rows } = this;
    this.rows = [];
    return rows;
  }

  private open(name: string, attributes: Readonly<Record<string, string>>): void {
    if (name === "sheetData") this.inData = true;
    if (!this.inData) return;
    if (name === "row") this.openRow(attributes.r);
    else if (name === "c") this.openCell(attributes);
    else if (this.cell === null) return;
    else if (name === "v") {
      this.into = "value";
      this.cell.value ??= "";
    } else if (name === "t" && !this.phonetic) {
      this.into = "text";
      this.cell.text ??= "";
    } else if (name === "f") this.cell.formula = true;
    else if (name === "rPh") this.phonetic = true;
  }

  private take(text: string): void {
    if (this.cell === null || this.into === null) return;
    if (this.into === "value") this.cell.value += text;
    else this.cell.text += text;
  }

  private close(name: string): void {
    if (name === "v" || name === "t") this.into = null;
    else if (name === "rPh") this.phonetic = false;
    else if (name === "c" && this.cell) this.closeCell(this.cell);
    else if (name === "row") this.closeRow();
    else if (name === "sheetData") this.inData = false;
  }

  private openRow(number: string | undefined): void {
    const line = number === undefined ? this.line + 1 : Number(number);
    if (!Number.isInteger(line) || line <= this.line || line > ROWS_END) {
      throw new RangeError(`row ${number ?? line} after row ${this.line}`);
    }
    this.line = line;
    this.cells = [];
    this.flaw = null;
    this.nextColumn = 0;
  }

  private openCell(attributes: Readonly<Record<string, string>>): void {
    const column = attributes.r === undefined ? this.nextColumn : columnOf(attributes.r);
    if (column === null || column >= COLUMNS_END) throw new RangeError(`cell ${attributes.r ?? column}`);
    this.nextColumn = column + 1;
    const style = Number(attributes.s ?? 0);
    this.cell = { column, type: attributes.t ?? "n", style, value: null, text: null, formula: false };
  }

  private closeCell(cell: OpenCell): void {
    this.cell = null;
    this.into = null;
    const text = this.textOf(cell);
    if (text === "") return;
    if (cell.column >= CELLS_LIMIT) {
      this.flaw ??= `has a cell beyond column ${CELLS_LIMIT}; remove it, or the row if it is no row of the table`;
      return;
    }
    if ((this.cells[cell.column] ?? "") !== "") this.flaw ??= `has the cell ${nameOf(cell.column)}${this.line} twice`;
    while (this.cells.length < cell.column) this.cells.push("");
    this.cells[cell.column] = text;
  }

  private textOf({ column, type, style, value, text, formula }: OpenCell): string {
    if (type === "inlineStr") return plainText(text ?? "");
    if (value === null) {
      if (formula)
        this.flaw ??= `has a formula without a result in ${nameOf(column)}${this.line}; open the workbook, save it and send it again`;
      return "";
    }
    if (type === "s") {
      const shared = /^\s*\d+\s*$/.test(value) ? this.setting.textAt(Number(value)) : null;
      if (shared === null) this.flaw ??= `has a text in ${nameOf(column)}${this.line} that the workbook does not hold`;
      return shared ?? "";
    }
    if (type === "b") return isTrue(value.trim()) ? "true" : "false";
    if (type !== "n") return plainText(value);
    if (value.trim() === "") return "";
    const kind = this.setting.styles[style] ?? "number";
    const number = workbookNumber(value, { kind, from1904: this.setting.from1904 });
    if (number === null) this.flaw ??= `has a number in ${nameOf(column)}${this.line} that is none`;
    return number ?? value;
  }

  private closeRow(): void {
    const { line, cells, flaw } = this;
    this.cells = [];
    this.flaw = null;
    while (cells.length > 0 && (cells.at(-1) ?? "").trim() === "") cells.pop();
    if (flaw !== null) this.rows.push({ line, cells, flaw });
    else if (cells.length > 0) this.rows.push({ line, cells, flaw });
  }
}

/** The column of a cell such as `AB12`, from 0; null when the text names none. */
function columnOf(reference: string): number | null {
  const letters = /^\$?([A-Za-z]{1,3})\$?\d*$/.exec(reference)?.[1];
  if (letters === undefined) return null;
  let column = 0;
  for (const letter of letters.toUpperCase()) column = column * 26 + (letter.charCodeAt(0) - 64);
  return column - 1;
}

function nameOf(column: number): string {
  const rest = column % 26;
  const before = column < 26 ? "" : nameOf(Math.floor(column / 26) - 1);
  return before + String.fromCharCode(65 + rest);
}
