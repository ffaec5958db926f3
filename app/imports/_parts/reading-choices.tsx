"use client";

import type { ImportChoices } from "@/app/_server/job-view";

const sameRow = [
  { value: "keep", text: "Keep what is stored", note: "as usual; the report shows both" },
  { value: "take", text: "Take the new ones", note: "taking the import back brings the old ones back" },
] as const;

const twice = [
  { value: "refuse", text: "Refuse the row", note: "as usual; a time with its offset is never in doubt" },
  { value: "first", text: "Take the first", note: "before the clock went back" },
  { value: "second", text: "Take the second", note: "after it went back" },
] as const;

/** What only the sender knows about the files, folded away: for nearly all files the usual answers are right. */
export function ReadingChoices({
  choices,
  locked,
  onChange,
}: {
  choices: ImportChoices;
  locked: boolean;
  onChange: (choices: ImportChoices) => void;
}) {
  const usual = !choices.replaces && choices.fold === "refuse";
  return (
    <details className="mt-3 text-sm">
      <summary className="w-fit py-1 text-soft underline decoration-rule underline-offset-4 hover:text-accent">
        How to read them<span className="text-ink">{usual ? "" : ": not as usual"}</span>
      </summary>
      <div className="mt-2 grid gap-x-10 gap-y-5 border-l border-rule py-1 pl-4 sm:grid-cols-2">
        <Choice
          name="same-row"
          question="A row is stored already, with other values"
          options={sameRow}
          value={choices.replaces ? "take" : "keep"}
          locked={locked}
          onChange={(value) => onChange({ ...choices, replaces: value === "take" })}
        />
        <Choice
          name="twice"
          question="A wall time came twice, on the night the clock goes back"
          options={twice}
          value={choices.fold}
          locked={locked}
          onChange={(fold) => onChange({ ...choices, fold })}
        />
      </div>
    </details>
  );
}

function Choice<Value extends string>({
  name,
  question,
  options,
  value,
  locked,
  onChange,
}: {
  name: string;
  question: string;
  options: readonly { readonly value: Value; readonly text: string; readonly note: string }[];
  value: Value;
  locked: boolean;
  onChange: (value: Value) => void;
}) {
  return (
    <fieldset disabled={locked} className="min-w-0">
      <legend className="mb-1 font-semibold">{question}</legend>
      {options.map((option) => (
        <label key={option.value} className="flex cursor-pointer items-start gap-3 py-1.5">
          <input
            type="radio"
            name={name}
            value={option.value}
            checked={option.value === value}
            onChange={() => onChange(option.value)}
            className="mt-0.5 size-4 shrink-0 accent-accent"
          />
          <span>
            {option.text}
            <span className="block text-soft">{option.note}</span>
          </span>
        </label>
      ))}
    </fieldset>
  );
}
