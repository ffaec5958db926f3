"use client";

import { separatorWords } from "@/app/imports/_parts/upload/description-words";
import { Choice, type Option } from "@/app/imports/files/[jobId]/[position]/_parts/field";
import type { AskedLook } from "@/app/imports/files/[jobId]/[position]/_parts/use-preview";
import type { MappingDraft } from "@/lib/import/mapping/mapping";
import type { FileForm } from "@/lib/services/describe-file";
import type { MappingName } from "@/lib/services/staged-reading";

const kinds: readonly { readonly value: MappingDraft["kind"]; readonly text: string }[] = [
  { value: "readings", text: "readings: signal levels" },
  { value: "events", text: "events: fires, faults, disablements, tests" },
  { value: "work", text: "work: what was done" },
  { value: "detectors", text: "detectors" },
  { value: "sites", text: "sites" },
];
const encodings = [
  { value: "utf-8", text: "UTF-8" },
  { value: "windows-1252", text: "Windows-1252" },
  { value: "utf-16le", text: "UTF-16, little end first" },
  { value: "utf-16be", text: "UTF-16, big end first" },
] as const;
const separators = [",", ";", "\t", "|"] as const;
const HEADER_LINES = 12;

/** What the file holds and how it is cut into cells; a change of these makes a new guess. */
export function FileFields({
  draft,
  form,
  saved,
  mappings,
  onLook,
}: {
  draft: MappingDraft;
  form: FileForm | null;
  saved: MappingName | null;
  mappings: readonly string[];
  onLook: (look: AskedLook) => void;
}) {
  const { kind, table } = draft;
  const cut = (more: MappingDraft["table"]) => onLook({ kind, table: { ...table, ...more } });
  return (
    <div className="flex flex-wrap items-end gap-x-5 gap-y-3">
      <Choice
        label="It holds"
        value={kind}
        options={kinds}
        onChange={(value) => {
          const chosen = kinds.find((one) => one.value === value);
          if (chosen) onLook({ kind: chosen.value, table });
        }}
      />
      {mappings.length > 0 ? (
        <Choice
          label="Read by"
          value={saved?.name ?? ""}
          options={[
            { value: "", text: saved ? "a guess from its columns" : "what is set below" },
            ...mappings.map((name) => ({ value: name, text: `“${name}”` })),
          ]}
          onChange={(name) => onLook(name === "" ? { kind, table } : { saved: name })}
        />
      ) : null}
      {form?.sheet && form.sheets.length > 1 ? (
        <Choice
          label="Sheet"
          value={form.sheet}
          options={form.sheets.map((sheet) => ({ value: sheet, text: sheet }))}
          onChange={(sheet) => onLook({ kind, table: { sheet } })}
        />
      ) : null}
      {form?.encoding ? (
        <Choice
          label="Encoding"
          value={form.encoding}
          options={encodings}
          onChange={(value) => {
            const encoding = encodings.find((one) => one.value === value)?.value;
            if (encoding) cut({ encoding });
          }}
        />
      ) : null}
      {form?.separator ? (
        <Choice
          label="Cells are separated by"
          value={form.separator}
          options={separators.map((value) => ({ value, text: separatorWords[value] }))}
          onChange={(value) => {
            const separator = separators.find((one) => one === value);
            if (separator) cut({ separator });
          }}
        />
      ) : null}
      {form && form.form !== "json_lines" ? (
        <Choice
          label="Columns are named in"
          value={String(form.headerLine)}
          options={headerLines(form)}
          onChange={(line) => cut({ headerLine: Number(line) })}
        />
      ) : null}
    </div>
  );
}

function headerLines({ form, headerLine }: FileForm): Option[] {
  const word = form === "workbook" ? "row" : "line";
  const lines = Array.from({ length: Math.max(HEADER_LINES, headerLine) }, (_, index) => index + 1);
  return [
    { value: "0", text: `no ${word}` },
    ...lines.map((line) => ({ value: String(line), text: `${word} ${line}` })),
  ];
}
