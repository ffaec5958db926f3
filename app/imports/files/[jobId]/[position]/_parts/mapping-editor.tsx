"use client";

import { Section } from "@/app/_parts/section";
import { listed, sentence } from "@/app/imports/_parts/upload/description-words";
import { ColumnRule } from "@/app/imports/files/[jobId]/[position]/_parts/column-rule";
import { columnsIn, sameName } from "@/app/imports/files/[jobId]/[position]/_parts/draft-changes";
import { FileFields } from "@/app/imports/files/[jobId]/[position]/_parts/file-fields";
import { KeepMapping } from "@/app/imports/files/[jobId]/[position]/_parts/keep-mapping";
import { PreviewRows } from "@/app/imports/files/[jobId]/[position]/_parts/preview-rows";
import { usePreview } from "@/app/imports/files/[jobId]/[position]/_parts/use-preview";
import type { FilePreview } from "@/lib/services/preview-file";

/** How one file is read, changed and seen at once in its rows; nothing is stored by it. */
export function MappingEditor({
  jobId,
  position,
  name,
  initial,
  mappings,
}: {
  jobId: string;
  position: number;
  name: string;
  initial: FilePreview;
  mappings: readonly string[];
}) {
  const address = `/jobs/${jobId}/files/${position}`;
  const { preview, draft, pending, problem, change, look } = usePreview(address, initial);
  const { ours, theirs, questions } = preview;
  const shown = ours.filter(({ column, required }) => required || draft.columns[column] !== undefined);
  const rest = ours.filter((our) => !shown.includes(our));
  const rule = (our: (typeof ours)[number]) => (
    <ColumnRule
      key={our.column}
      {...{ our, draft, theirs, questions }}
      hint={our.column === "detector_id" && preview.seen.waits > 0 ? knownWords(preview) : null}
      doubt={doubtOf(preview, { column: our.column, draft })}
      onChange={change}
    />
  );
  return (
    <>
      <p
        role="status"
        className="sticky top-0 z-10 -mx-2 mb-6 border-b border-rule bg-paper px-2 py-3 font-serif text-lg data-pending:text-soft"
        data-pending={pending ? "" : undefined}
      >
        {pending ? "Reading the rows anew." : sentenceOf(preview)}
      </p>
      {problem ? (
        <p role="alert" className="mb-8 max-w-[60ch] border-l-2 border-worse py-1 pl-4">
          {problem}.
        </p>
      ) : null}
      <Section id="file" title="The file" note="How it is cut into cells, and what its rows are.">
        <FileFields draft={draft} form={preview.form} saved={preview.saved} mappings={mappings} onLook={look} />
        {preview.form?.note ? <p className="mt-3 text-sm text-soft">{sentence(preview.form.note)}</p> : null}
      </Section>
      {preview.flaw === null ? (
        <>
          <Section
            id="columns"
            title="Its columns, and ours"
            note="Each column of ours, which of theirs it is, and how that is read."
          >
            <div className="border-t border-ink">{shown.map(rule)}</div>
            {rest.length > 0 ? (
              <details className="mt-4">
                <summary className="w-fit text-sm text-soft underline decoration-rule underline-offset-4 hover:text-accent">
                  Not in this file, it seems: {listed(rest.map(({ column }) => column))}
                </summary>
                <div className="mt-2 border-t border-rule">{rest.map(rule)}</div>
              </details>
            ) : null}
            <UnusedColumns preview={preview} />
          </Section>
          <Section id="rows" title="Its rows" note="What would be stored, and what not. Nothing is stored yet.">
            <PreviewRows preview={preview} />
          </Section>
          <Section id="keep" title="Is it right?">
            <KeepMapping
              {...{ address, jobId, draft, mappings }}
              suggested={preview.saved?.name ?? nameFrom(name)}
              open={openOf(preview)}
            />
          </Section>
        </>
      ) : null}
    </>
  );
}

/** What would become of the rows looked at, in a sentence. */
function sentenceOf({ flaw, seen, missing, questions }: FilePreview): string {
  if (flaw !== null) return `Read so, the file ${sentence(flaw).charAt(0).toLowerCase()}${sentence(flaw).slice(1)}`;
  const count = (number: number) => number.toLocaleString("en");
  if (missing.length > 0)
    return `${count(seen.rows)} rows, of which nothing can be stored before ${listed(missing)} ${missing.length === 1 ? "is" : "are"} said.`;
  if (questions.length > 0) {
    return seen.whole
      ? "The rows can be read in more than one way: say which."
      : "Its first rows can be read in more than one way: say which, or let an import decide by all of them.";
  }
  const good = seen.ready + seen.joins;
  const parts = [
    `${count(good)} would go in`,
    seen.waits > 0 ? `${count(seen.waits)} would wait for a site or detector that is not known yet` : null,
    seen.left_out > 0 ? `${count(seen.left_out)} would be left out` : null,
    seen.refused > 0 ? `${count(seen.refused)} would be refused` : null,
  ].filter((part) => part !== null);
  return `Of its ${seen.whole ? "" : "first "}${count(seen.rows)} rows, ${listed(parts)}.`;
}

const SHOWN_COLUMNS = 12;

/** Their columns that nothing is made of, so that what was overlooked is seen. */
function UnusedColumns({ preview: { theirs, draft } }: { preview: FilePreview }) {
  const used = Object.values(draft.columns).flatMap(({ parts }) => columnsIn(parts));
  const unused = theirs.filter(({ name }) => !used.some((one) => sameName(one, name)));
  if (unused.length === 0) return null;
  const shown = unused.slice(0, SHOWN_COLUMNS);
  return (
    <p className="mt-4 max-w-[70ch] text-sm">
      Their columns that nothing is made of:{" "}
      {shown.map(({ name, samples }, index) => (
        <span key={name}>
          {index > 0 ? ", " : ""}
          <bdi className="font-medium">{name}</bdi>
          {samples.length > 0 ? (
            <span className="text-soft">
              {" "}
              (<bdi>{samples.map((sample) => sample.slice(0, 24)).join(", ")}</bdi>)
            </span>
          ) : null}
        </span>
      ))}
      {unused.length > shown.length ? ` and ${unused.length - shown.length} more` : ""}.
    </p>
  );
}

/** How the ids of known detectors are spelled. */
function knownWords({ knownIds }: FilePreview): string {
  return knownIds.length === 0
    ? "No detector is known yet; the rows wait for the file of detectors."
    : `Known detectors are called ${listed(knownIds)}.`;
}

/** What a guess leaves to be confirmed of a column; null once the column was changed. */
function doubtOf(
  { doubts, draft: guessed }: FilePreview,
  { column, draft }: { column: string; draft: FilePreview["draft"] },
) {
  const found = doubts.find((one) => one.column === column);
  const same = JSON.stringify(guessed.columns[column]) === JSON.stringify(draft.columns[column]);
  return found && same ? sentence(found.reason) : null;
}

/** What has to be said before the file can be imported. */
function openOf({ missing, questions, seen }: FilePreview): string[] {
  return [
    ...missing.map((column) => `Say which of their columns ${column} is.`),
    ...(seen.whole ? questions.map(({ reason }) => sentence(reason)) : []),
  ];
}

/** A name to begin with: the file's own, without what changes from one to the next. */
function nameFrom(file: string): string {
  const stem = file.replace(/(\.[a-z0-9]{1,5})+$/i, "");
  const steady = stem
    .replace(/[\d_\-.@/\\]+/g, " ")
    .trim()
    .replace(/\s+/g, " ");
  return (steady || stem || "mapping").slice(0, 60);
}
