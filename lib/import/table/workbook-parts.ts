import { type FormatKind, formatKind } from "@/lib/import/table/number-format";
import { attribute, XmlWalk } from "@/lib/import/table/xml-walk";

/** A sheet of a workbook: its name, the id of its part, and whether a reader of the workbook sees it. */
export type SheetEntry = { readonly name: string; readonly partId: string; readonly hidden: boolean };

/** Sheets in their order, and whether days count from 1904. */
export type WorkbookPart = { readonly sheets: readonly SheetEntry[]; readonly from1904: boolean };

/** Reads the part that lists the sheets; throws an Error when it is not well formed. */
export function readWorkbookPart(xml: string): WorkbookPart {
  const sheets: SheetEntry[] = [];
  let from1904 = false;
  walkWhole(xml, (name, attributes) => {
    if (name === "workbookPr") from1904 = isTrue(attributes.date1904);
    if (name !== "sheet") return;
    const hidden = (attributes.state ?? "visible") !== "visible";
    sheets.push({ name: attributes.name ?? "", partId: attribute(attributes, "id") ?? "", hidden });
  });
  return { sheets, from1904 };
}

/** Where a part leads to, by the id it uses: the path in the archive and the last word of its type, such as `worksheet`. */
export type Relation = { readonly path: string; readonly type: string };

/** Reads the relations of the part at `base`, a folder of the archive such as `xl/`; throws an Error when not well formed. */
export function readRelations(xml: string, base: string): Map<string, Relation> {
  const relations = new Map<string, Relation>();
  walkWhole(xml, (name, attributes) => {
    const target = attributes.Target;
    if (name !== "Relationship" || target === undefined || attributes.TargetMode === "External") return;
    const type = (attributes.Type ?? "").split("/").at(-1) ?? "";
    relations.set(attributes.Id ?? "", { path: resolved(target, base), type });
  });
  return relations;
}

/** Reads the styles: for each style number of a cell what its format makes of numbers; throws when not well formed. */
export function readStyles(xml: string): FormatKind[] {
  const codes = new Map<number, string>();
  const kinds: FormatKind[] = [];
  let inCells = false;
  const open = (name: string, attributes: Readonly<Record<string, string>>) => {
    if (name === "numFmt") codes.set(Number(attributes.numFmtId), attributes.formatCode ?? "");
    if (name === "cellXfs") inCells = true;
    if (name !== "xf" || !inCells) return;
    const id = Number(attributes.numFmtId ?? 0);
    kinds.push(formatKind(id, codes.get(id) ?? null));
  };
  walkWhole(xml, open, (name) => {
    if (name === "cellXfs") inCells = false;
  });
  return kinds;
}

/** Text as a workbook keeps it, with `_x000D_` and the like as the characters they stand for. */
export function plainText(text: string): string {
  if (!text.includes("_x")) return text;
  return text.replace(/_x([0-9A-Fa-f]{4})_/g, (whole, hex) => {
    const code = Number.parseInt(hex, 16);
    return code >= 0xd800 && code <= 0xdfff ? whole : String.fromCharCode(code);
  });
}

/** Whether an attribute of a workbook says yes. */
export function isTrue(value: string | undefined): boolean {
  return value === "1" || value === "true" || value === "on";
}

function walkWhole(
  xml: string,
  open: (name: string, attributes: Readonly<Record<string, string>>) => void,
  close: (name: string) => void = () => undefined,
): void {
  const walk = new XmlWalk({ open, close });
  for (let at = 0; at < xml.length; at += 65_536) walk.write(xml.slice(at, at + 65_536));
  walk.end();
}

function resolved(target: string, base: string): string {
  const parts: string[] = [];
  for (const part of (target.startsWith("/") ? target.slice(1) : base + target).split("/")) {
    if (part === "..") parts.pop();
    else if (part !== "." && part !== "") parts.push(part);
  }
  return parts.join("/");
}
