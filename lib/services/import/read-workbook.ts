import type { Entry } from "yauzl";
import { SharedTexts } from "@/lib/import/table/shared-texts";
import type { SheetSetting } from "@/lib/import/table/sheet-reader";
import { type Relation, readRelations, readStyles, readWorkbookPart } from "@/lib/import/table/workbook-parts";
import type { Archive } from "@/lib/services/import/archive";
import { FileFlaw } from "@/lib/services/import/file-flaw";

/** A sheet with rows and columns: its name, whether the workbook hides it, and its part. */
export type Sheet = { readonly name: string; readonly hidden: boolean; readonly part: Entry };

/** The sheets of a workbook in their order, and what their cells refer to. */
export type Workbook = { readonly sheets: readonly Sheet[]; readonly setting: SheetSetting };

/** Bytes of a part that is read whole: the list of sheets, the relations, the styles. */
const SMALL_PART_LIMIT = 16 * 1024 * 1024;

/** Reads what a workbook says of itself; throws FileFlaw when the archive is no workbook, or a damaged one. */
export async function readWorkbook(archive: Archive): Promise<Workbook> {
  const main = [...(await relationsOf(archive, "_rels/.rels", "")).values()].find(isMain);
  const path = main?.path ?? "xl/workbook.xml";
  if (!archive.parts.has(path)) throw new FileFlaw(otherArchive(archive), { line: 1 });
  if (path.endsWith(".bin")) {
    throw new FileFlaw("is a binary workbook; save it as an XLSX workbook or as CSV", { line: 1 });
  }
  const folder = path.slice(0, path.lastIndexOf("/") + 1);
  const listed = parsed(readWorkbookPart, await smallPart(archive, path));
  const relations = await relationsOf(archive, `${folder}_rels/${path.slice(folder.length)}.rels`, folder);
  const sheets = listed.sheets.flatMap(({ name, partId, hidden }) => {
    const relation = relations.get(partId);
    const part = relation?.type === "worksheet" ? archive.parts.get(relation.path) : undefined;
    return part === undefined ? [] : [{ name, hidden, part }];
  });
  const pathOf = (type: string) => [...relations.values()].find((relation) => relation.type === type)?.path ?? "";
  const styles = parsed(readStyles, (await smallPart(archive, pathOf("styles"))) || "<styleSheet/>");
  const texts = await sharedTexts(archive, pathOf("sharedStrings"));
  const textAt = (index: number) => texts.textAt(index);
  return { sheets, setting: { textAt, styles, from1904: listed.from1904 } };
}

/** Pieces of a part as text; throws FileFlaw when it is not UTF-8. */
export async function* partText(archive: Archive, part: Entry): AsyncGenerator<string> {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  for await (const chunk of archive.read(part)) yield parsed((data) => decoder.decode(data, { stream: true }), chunk);
  yield parsed((data) => decoder.decode(data), new Uint8Array());
}

/** What a step makes of a part of a workbook; what it throws becomes a FileFlaw. */
export function parsed<From, To>(step: (from: From) => To, from: From): To {
  try {
    return step(from);
  } catch (thrown) {
    const reason = thrown instanceof Error ? thrown.message.split("\n")[0] : String(thrown);
    throw new FileFlaw(`is a damaged workbook (${reason}); open it, save it anew and send it again`);
  }
}

function isMain({ type }: Relation): boolean {
  return type === "officeDocument";
}

async function relationsOf(archive: Archive, path: string, folder: string): Promise<Map<string, Relation>> {
  const xml = await smallPart(archive, path);
  return xml === "" ? new Map() : parsed((text) => readRelations(text, folder), xml);
}

async function smallPart(archive: Archive, path: string): Promise<string> {
  const part = archive.parts.get(path);
  if (!part) return "";
  if (part.uncompressedSize > SMALL_PART_LIMIT) throw new FileFlaw(`is a workbook whose part ${path} is far too large`);
  let text = "";
  for await (const piece of partText(archive, part)) text += piece;
  return text;
}

async function sharedTexts(archive: Archive, path: string): Promise<SharedTexts> {
  const texts = new SharedTexts();
  const part = archive.parts.get(path);
  if (!part) return texts;
  for await (const piece of partText(archive, part)) parsed((text) => texts.write(text), piece);
  parsed(() => texts.end(), null);
  return texts;
}

function otherArchive({ parts }: Archive): string {
  if (parts.has("content.xml")) return "is an OpenDocument file; save the sheet as XLSX or CSV";
  if (parts.has("word/document.xml")) return "is a text document; save the table in it as XLSX or CSV";
  return "is an archive, not a workbook; unpack it and send each table in it as a file of its own";
}
