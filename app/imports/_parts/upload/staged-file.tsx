import Link from "next/link";
import type { ReactNode } from "react";
import { buttonLook } from "@/app/_parts/button";
import type { Format } from "@/app/_parts/format";
import { sizeText } from "@/app/_parts/size-text";
import { counted } from "@/app/_parts/words";
import { leaveOut } from "@/app/_server/upload-actions";
import { BeamState } from "@/app/imports/_parts/upload/beam-state";
import { formWords, reasonWords, seenWords, sentence } from "@/app/imports/_parts/upload/description-words";
import { QuestionAsked } from "@/app/imports/_parts/upload/question-asked";
import type { FileDescription } from "@/lib/services/describe-file";

/** A file of an upload as its name and size are known at once. */
export type NamedFile = { readonly position: number; readonly name: string; readonly bytes: number };

const stateWords = { ready: "ready", asks: "needs a look", unreadable: "cannot be read" } as const;
const SHOWN_WORDS = 6;

/** A file that waits: what it is, how it is read, what it asks; and the ways to look at it and to leave it out. */
export function StagedFile({
  jobId,
  file,
  description,
  format,
}: {
  jobId: string;
  file: NamedFile;
  description: FileDescription;
  format: Format;
}) {
  const { state, kind, form, seen, questions } = description;
  return (
    <FileFrame file={file} mark={<BeamState state={state} />} state={`${kind ? `${kind}, ` : ""}${stateWords[state]}`}>
      {form ? (
        <p className="text-sm text-soft">
          {sizeText(file.bytes)}, {formWords(form)}, {seenWords(seen, format)}
        </p>
      ) : null}
      <p className={state === "unreadable" ? "text-worse" : undefined}>{reasonWords(description)}</p>
      {questions.map((question) => (
        <QuestionAsked key={`${question.about}-${question.ours.join()}`} {...{ jobId, file, question, seen }} />
      ))}
      {seen.refused > 0 && questions.length === 0 && description.missing.length === 0 ? (
        <p className="text-sm">
          {format.number(seen.refused)} of {seenWords(seen, format)} would be refused; they are kept and can be mended.
        </p>
      ) : null}
      {seen.waits > 0 ? (
        <p className="text-sm">
          {format.number(seen.waits)} of {seenWords(seen, format)} would wait for a site or detector that is not known
          yet; this upload may bring it.
        </p>
      ) : null}
      <UnknownWords words={description.unknownWords} format={format} />
      {form?.note ? <p className="text-sm text-soft">{sentence(form.note)}</p> : null}
      <div className="mt-2 flex flex-wrap items-baseline gap-x-5 gap-y-2">
        {state === "unreadable" && !form ? null : (
          <Link
            href={`/imports/files/${jobId}/${file.position}`}
            className={state === "asks" ? buttonLook.main : "text-sm"}
          >
            {state === "asks" ? "See and fix" : "See the rows"}
            <span className="sr-only"> of {file.name}</span>
          </Link>
        )}
        <LeaveOut jobId={jobId} file={file} />
      </div>
    </FileFrame>
  );
}

/** The same while the file is looked at. */
export function FileBeingLookedAt({ file }: { file: NamedFile }) {
  return (
    <FileFrame file={file} mark={<BeamState state="looking" />} state="being looked at">
      <p className="text-sm text-soft">{sizeText(file.bytes)}</p>
    </FileFrame>
  );
}

function FileFrame({
  file,
  mark,
  state,
  children,
}: {
  file: NamedFile;
  mark: ReactNode;
  state: string;
  children: ReactNode;
}) {
  return (
    <article aria-label={file.name} className="grid gap-x-5 sm:grid-cols-[3.5rem_minmax(0,1fr)]">
      <div className="pt-1.5">{mark}</div>
      <div className="min-w-0 max-w-[62ch] space-y-1">
        <h3 className="flex flex-wrap items-baseline gap-x-3">
          <bdi className="min-w-0 font-semibold break-words">{file.name}</bdi>
          <span className="text-sm text-soft">{state}</span>
        </h3>
        {children}
      </div>
    </article>
  );
}

function UnknownWords({ words, format }: { words: FileDescription["unknownWords"]; format: Format }) {
  if (words.length === 0) return null;
  const more = words.length - SHOWN_WORDS;
  return (
    <p className="text-sm">
      Words without a meaning yet:{" "}
      {words.slice(0, SHOWN_WORDS).map(({ column, word, count }, index) => (
        <span key={`${column} ${word}`}>
          {index > 0 ? ", " : ""}
          <bdi>“{word.length > 40 ? `${word.slice(0, 40)}…` : word}”</bdi>{" "}
          <span className="text-soft">({counted(count, "row", { write: format.number })})</span>
        </span>
      ))}
      {more > 0 ? ` and ${format.number(more)} more` : ""}.
    </p>
  );
}

function LeaveOut({ jobId, file }: { jobId: string; file: NamedFile }) {
  return (
    <form action={leaveOut}>
      <input type="hidden" name="jobId" value={jobId} />
      <input type="hidden" name="position" value={file.position} />
      <button type="submit" className="cursor-pointer text-sm text-accent underline underline-offset-4">
        Leave out<span className="sr-only"> {file.name}</span>
      </button>
    </form>
  );
}
