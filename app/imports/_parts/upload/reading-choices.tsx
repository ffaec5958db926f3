const sameRow = [
  { value: "no", text: "Keep what is stored", note: "as usual; the report shows both" },
  { value: "yes", text: "Take the new ones", note: "taking the import back brings the old ones back" },
] as const;

const twice = [
  { value: "refuse", text: "Refuse the row", note: "as usual; a time with its offset is never in doubt" },
  { value: "first", text: "Take the first", note: "before the clock went back" },
  { value: "second", text: "Take the second", note: "after it went back" },
] as const;

/** What only the sender knows about the files, folded away: for nearly all files the usual answers are right. */
export function ReadingChoices() {
  return (
    <details className="mt-5 text-sm">
      <summary className="w-fit py-1 text-soft underline decoration-rule underline-offset-4 hover:text-accent">
        Rows stored already, times that came twice
      </summary>
      <div className="mt-2 grid gap-x-10 gap-y-5 border-l border-rule py-1 pl-4 sm:grid-cols-2">
        <Choice name="replace" question="A row is stored already, with other values" options={sameRow} />
        <Choice name="fold" question="A wall time came twice, on the night the clock goes back" options={twice} />
      </div>
    </details>
  );
}

/** One question; the first answer stands until another is chosen. */
function Choice({
  name,
  question,
  options,
}: {
  name: string;
  question: string;
  options: readonly { readonly value: string; readonly text: string; readonly note: string }[];
}) {
  return (
    <fieldset className="min-w-0">
      <legend className="mb-1 font-semibold">{question}</legend>
      {options.map((option, index) => (
        <label key={option.value} className="flex cursor-pointer items-start gap-3 py-1.5">
          <input
            type="radio"
            name={name}
            value={option.value}
            defaultChecked={index === 0}
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
