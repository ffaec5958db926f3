import { closeSync, mkdirSync, openSync, writeSync } from "node:fs";
import { join } from "node:path";
import { keysOf } from "@/lib/kernel/objects";
import type { FileKind } from "@/lib/records/files";
import { detectorLine, eventLine, headerOf, readingLines, siteLine, workLine } from "@/seed/csv";
import type { FleetOptions } from "@/seed/fleet";
import { portfolioHistories } from "@/seed/portfolio";
import { truthHeader, truthLine, truthOf } from "@/seed/truth";

/** A canonical file that was written. */
export type WrittenFile = { readonly name: string; readonly path: string; readonly rows: number };

/** What was written: the five files in the order of import, and the planted detectors of each cause. */
export type WrittenPortfolio = {
  readonly files: readonly WrittenFile[];
  readonly truthPath: string;
  readonly planted: ReadonlyMap<string, number>;
};

/** Writes the five canonical files and truth.csv of the demo portfolio into a folder, site by site. */
export function writePortfolio(folder: string, options: FleetOptions): WrittenPortfolio {
  mkdirSync(folder, { recursive: true });
  const handles: Record<FileKind, OpenFile> = {
    sites: startFile(folder, "sites"),
    detectors: startFile(folder, "detectors"),
    readings: startFile(folder, "readings"),
    events: startFile(folder, "events"),
    work: startFile(folder, "work"),
  };
  const truthPath = join(folder, "truth.csv");
  const truth = openSync(truthPath, "w");
  writeSync(truth, truthHeader);
  const planted = new Map<string, number>();
  for (const history of portfolioHistories(options)) {
    const { site, events, work } = history;
    append(handles.sites, [siteLine(site)]);
    append(
      handles.detectors,
      site.detectors.map((detector) => detectorLine(detector, site)),
    );
    append(
      handles.events,
      events.map((event) => eventLine(event, site)),
    );
    append(
      handles.work,
      work.map((one) => workLine(one, site)),
    );
    for (const text of readingLines(history, options.period)) append(handles.readings, [text]);
    for (const entry of truthOf(history)) {
      planted.set(entry.cause, (planted.get(entry.cause) ?? 0) + 1);
      writeSync(truth, truthLine(entry));
    }
  }
  closeSync(truth);
  const files = keysOf(handles).map((kind) => {
    closeSync(handles[kind].handle);
    return { name: `${kind}.csv`, path: handles[kind].path, rows: handles[kind].rows };
  });
  return { files, truthPath, planted };
}

type OpenFile = { readonly path: string; readonly handle: number; rows: number };

function startFile(folder: string, kind: FileKind): OpenFile {
  const path = join(folder, `${kind}.csv`);
  const handle = openSync(path, "w");
  writeSync(handle, headerOf(kind));
  return { path, handle, rows: 0 };
}

function append(file: OpenFile, lines: readonly string[]): void {
  const text = lines.join("");
  for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1)) file.rows += 1;
  if (text !== "") writeSync(file.handle, text);
}
