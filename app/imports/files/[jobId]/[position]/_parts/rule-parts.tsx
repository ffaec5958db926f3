"use client";

import type { ReactNode } from "react";
import {
  columnsIn,
  joinedWith,
  sameName,
  withoutPart,
} from "@/app/imports/files/[jobId]/[position]/_parts/draft-changes";
import { Choice, type Option, TextField } from "@/app/imports/files/[jobId]/[position]/_parts/field";
import type { CellReading, Part } from "@/lib/import/mapping/mapping";
import type { OurColumn, TheirColumn } from "@/lib/services/preview-file";

const NOWHERE = "\u0000nowhere";
const FIXED = "\u0000fixed";
const SAMPLE_LENGTH = 24;

/** Where a column of ours comes from: a column of theirs, several joined, or the same in every row. */
export function RuleParts({
  our,
  parts,
  read,
  theirs,
  onChange,
}: {
  our: OurColumn;
  parts: readonly Part[];
  read: CellReading;
  theirs: readonly TheirColumn[];
  onChange: (parts: readonly Part[]) => void;
}) {
  const fixed = parts.length > 0 && columnsIn(parts).length === 0;
  const replace = (index: number, part: Part) => onChange(parts.map((one, at) => (at === index ? part : one)));
  const choose = (index: number, value: string) => {
    if (value === NOWHERE) onChange([]);
    else if (value === FIXED) onChange([{ text: our.words?.[0] ?? "" }]);
    else if (parts.length === 0 || fixed) onChange([{ column: value }]);
    else replace(index, { ...parts[index], column: value });
  };
  const next = theirs.find(({ name }) => !columnsIn(parts).includes(name))?.name;
  const single = parts.length <= 1;
  return (
    <div className="flex flex-wrap items-end gap-2">
      {single ? (
        <Choice
          label={`${our.column} from`}
          hideLabel
          value={fixed ? FIXED : (columnsIn(parts)[0] ?? NOWHERE)}
          options={optionsOf({ our, theirs, parts })}
          onChange={(value) => choose(0, value)}
        />
      ) : (
        parts.map((part, index) => (
          <PartField
            // biome-ignore lint/suspicious/noArrayIndexKey: a part is what stands at its place
            key={`part ${index + 1}`}
            {...{ our, part, index, theirs }}
            onChange={(changed) => replace(index, changed)}
            onRemove={() => onChange(withoutPart(parts, index))}
          />
        ))
      )}
      {fixed && single ? <FixedValue our={our} parts={parts} onChange={onChange} /> : null}
      {!fixed && parts.length > 0 ? (
        <span className="inline-flex flex-wrap gap-x-2">
          {next !== undefined ? (
            <Small onClick={() => onChange(joinedWith(parts, next, read))}>
              Join a column<span className="sr-only"> to {our.column}</span>
            </Small>
          ) : null}
          {read.as === "moment" ? (
            <Small onClick={() => onChange([...parts, { text: " 12:00" }])}>
              Add a time<span className="sr-only"> to {our.column}</span>
            </Small>
          ) : (
            <Small onClick={() => onChange([{ text: "-" }, ...parts])}>
              Text before<span className="sr-only"> {our.column}</span>
            </Small>
          )}
        </span>
      ) : null}
    </div>
  );
}

function PartField({
  our,
  part,
  index,
  theirs,
  onChange,
  onRemove,
}: {
  our: OurColumn;
  part: Part;
  index: number;
  theirs: readonly TheirColumn[];
  onChange: (part: Part) => void;
  onRemove: () => void;
}) {
  const place = `${our.column}, part ${index + 1}`;
  if ("text" in part) {
    return (
      <span className="inline-flex items-end">
        <TextField
          label={`${place}, text`}
          hideLabel
          size={3}
          value={part.text}
          onChange={(text) => onChange({ text })}
        />
        <RemovePart place={place} onRemove={onRemove} />
      </span>
    );
  }
  return (
    <span className="inline-flex max-w-full items-end border-b border-faint">
      <Choice
        label={place}
        hideLabel
        value={part.column}
        options={columnOptions(theirs, [part.column])}
        onChange={(column) => onChange({ ...part, column })}
      />
      {our.column.endsWith("_id") ? (
        <Choice
          label={`${place}, digits`}
          hideLabel
          value={String(part.width ?? 0)}
          options={widths}
          onChange={(width) => onChange({ column: part.column, ...(width === "0" ? {} : { width: Number(width) }) })}
        />
      ) : null}
      <RemovePart place={place} onRemove={onRemove} />
    </span>
  );
}

function RemovePart({ place, onRemove }: { place: string; onRemove: () => void }) {
  return (
    <Small onClick={onRemove}>
      <span aria-hidden="true">×</span>
      <span className="sr-only">Leave {place} out</span>
    </Small>
  );
}

const widths: readonly Option[] = [
  { value: "0", text: "as it is" },
  ...[2, 3, 4, 5, 6].map((width) => ({ value: String(width), text: `${width} digits` })),
];

function FixedValue({
  our,
  parts,
  onChange,
}: {
  our: OurColumn;
  parts: readonly Part[];
  onChange: (parts: readonly Part[]) => void;
}) {
  const [first] = parts;
  const text = first && "text" in first ? first.text : "";
  const label = `${our.column} in every row`;
  return our.words ? (
    <Choice
      label={label}
      hideLabel
      value={text}
      options={our.words.map((word) => ({ value: word, text: word.replaceAll("_", " ") }))}
      onChange={(word) => onChange([{ text: word }])}
    />
  ) : (
    <TextField label={label} hideLabel value={text} onChange={(typed) => onChange([{ text: typed }])} />
  );
}

/** A quiet button within a line of fields. */
export function Small({ onClick, children }: { onClick: () => void; children: ReactNode }) {
  return (
    <button
      type="button"
      onClick={onClick}
      className="cursor-pointer px-1 py-1 text-sm text-accent underline decoration-rule underline-offset-4 hover:decoration-accent"
    >
      {children}
    </button>
  );
}

function optionsOf({
  our,
  theirs,
  parts,
}: {
  our: OurColumn;
  theirs: readonly TheirColumn[];
  parts: readonly Part[];
}): Option[] {
  const nowhere = our.required ? "choose their column" : "not in this file";
  return [
    { value: NOWHERE, text: nowhere },
    ...columnOptions(theirs, columnsIn(parts)),
    { value: FIXED, text: "the same in every row" },
  ];
}

/** Their columns with a cell of each; one that a saved mapping names and this file lacks stays to be seen. */
function columnOptions(theirs: readonly TheirColumn[], chosen: readonly string[]): Option[] {
  const absent = chosen.filter((name) => !theirs.some((one) => sameName(one.name, name)));
  return [
    ...absent.map((name) => ({ value: name, text: `${name} (not in this file)` })),
    ...theirs.map(({ name, samples: [sample = ""] }) => {
      const cut = sample.length > SAMPLE_LENGTH ? `${sample.slice(0, SAMPLE_LENGTH)}…` : sample;
      // The name as the mapping spells it is the one that is chosen.
      const value = chosen.find((one) => sameName(one, name)) ?? name;
      return { value, text: cut === "" ? name : `${name}: ${cut}` };
    }),
  ];
}
