"use client";

import { useId } from "react";
import { withParts, withReading, withRule } from "@/app/imports/files/[jobId]/[position]/_parts/draft-changes";
import { RuleParts } from "@/app/imports/files/[jobId]/[position]/_parts/rule-parts";
import { RuleReading } from "@/app/imports/files/[jobId]/[position]/_parts/rule-reading";
import { WordList } from "@/app/imports/files/[jobId]/[position]/_parts/word-list";
import type { MappingDraft } from "@/lib/import/mapping/mapping";
import type { FilePreview, OurColumn, TheirColumn } from "@/lib/services/preview-file";

/** One column of ours: what it is made of, how that is read, and what came of it in the rows looked at. */
export function ColumnRule({
  our,
  draft,
  theirs,
  questions,
  doubt,
  hint,
  onChange,
}: {
  our: OurColumn;
  draft: MappingDraft;
  theirs: readonly TheirColumn[];
  questions: FilePreview["questions"];
  /** What only a person can confirm of a guess; null when there is nothing. */
  doubt: string | null;
  /** What may help to set it right; null when nothing does. */
  hint: string | null;
  onChange: (draft: MappingDraft) => void;
}) {
  const { column, required, meaning, usual } = our;
  const rule = draft.columns[column];
  const read = rule?.read ?? usual;
  const asked = questions.some(({ ours }) => ours.includes(column));
  const labelId = useId();
  return (
    // biome-ignore lint/a11y/useSemanticElements: a legend of a fieldset cannot stand beside its fields
    <div
      role="group"
      aria-labelledby={labelId}
      data-state={rule === undefined && required ? "missing" : undefined}
      className="grid gap-x-6 gap-y-2 border-b border-rule py-4 data-[state=missing]:bg-accent-wash data-[state=missing]:px-3 sm:grid-cols-[12rem_minmax(0,1fr)]"
    >
      <div className="text-sm">
        <span id={labelId}>
          <span className="font-semibold">{column}</span>
          {required ? <span className="text-soft"> (needed)</span> : null}
        </span>
        <span className="block text-soft text-pretty">{meaning}</span>
      </div>
      <div className="min-w-0 space-y-2">
        <div className="flex flex-wrap items-end gap-x-4 gap-y-2">
          <RuleParts
            our={our}
            parts={rule?.parts ?? []}
            read={read}
            theirs={theirs}
            onChange={(parts) => onChange(partsChanged(draft, our, parts))}
          />
          {rule?.parts.some((part) => "column" in part) ? (
            <RuleReading our={our} read={read} onChange={(next) => onChange(withReading(draft, column, next))} />
          ) : null}
        </div>
        {rule ? <RuleOutcome our={our} asked={asked} /> : null}
        {hint === null ? null : <p className="text-sm text-soft">{hint}</p>}
        {doubt === null ? null : <p className="border-l-2 border-accent pl-3 text-sm">{doubt}</p>}
        {rule && read.as === "words" ? (
          <WordList our={our} read={read} onChange={(next) => onChange(withReading(draft, column, next))} />
        ) : null}
      </div>
    </div>
  );
}

/** A text that is the same in every row is ours already; a column of theirs is read as usual. */
function partsChanged(draft: MappingDraft, our: OurColumn, parts: Parameters<typeof withParts>[2]["parts"]) {
  const fixed = parts.length > 0 && parts.every((part) => "text" in part);
  if (fixed) return withRule(draft, our.column, { parts: [...parts], read: { as: "text" } });
  const before = draft.columns[our.column];
  const wasFixed = before?.parts.every((part) => "text" in part) ?? false;
  const base = wasFixed ? withRule(draft, our.column, null) : draft;
  return withParts(base, our.column, { parts, usual: our.usual });
}

function RuleOutcome({ our, asked }: { our: OurColumn; asked: boolean }) {
  const { example, filled, refused, problem } = our;
  if (filled === 0 && refused === 0 && !asked) return <p className="text-sm text-soft">No row gives it a value.</p>;
  return (
    <p className="text-sm">
      {example ? (
        <span>
          <bdi className="break-words text-soft">“{shortened(example.theirs)}”</bdi>{" "}
          <span aria-hidden="true" className="text-soft">
            →
          </span>
          <span className="sr-only">becomes</span>{" "}
          <bdi className="font-medium break-words">{shortened(example.ours)}</bdi>
        </span>
      ) : null}
      <span className="text-soft">
        {example ? ", " : ""}
        {filled.toLocaleString("en")} {filled === 1 ? "row" : "rows"} with a value
      </span>
      {refused > 0 ? (
        <span className="block text-worse">
          {refused.toLocaleString("en")} not read{problem ? `: ${problem}` : ""}
        </span>
      ) : null}
      {asked ? <span className="block text-worse">The rows do not say how; choose it here.</span> : null}
    </p>
  );
}

function shortened(text: string): string {
  return text.length > 60 ? `${text.slice(0, 60)}…` : text;
}
