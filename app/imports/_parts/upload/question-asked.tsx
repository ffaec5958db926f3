import { answerQuestion } from "@/app/_server/upload-actions";
import { sentence } from "@/app/imports/_parts/upload/description-words";
import type { FileDescription } from "@/lib/services/describe-file";

/** What a file's own rows leave open, with a button for each answer that says what comes of it. Works without scripts. */
export function QuestionAsked({
  jobId,
  file,
  question,
  seen,
}: {
  jobId: string;
  file: { readonly position: number; readonly name: string };
  question: FileDescription["questions"][number];
  seen: FileDescription["seen"];
}) {
  const { about, ours, reason, options } = question;
  return (
    <form action={answerQuestion} className="my-2 border-l-2 border-accent py-1 pl-4">
      <input type="hidden" name="jobId" value={jobId} />
      <input type="hidden" name="position" value={file.position} />
      <input type="hidden" name="about" value={about} />
      <input type="hidden" name="ours" value={ours.join(",")} />
      <p className="break-words">{sentence(reason)}</p>
      {seen.whole ? null : (
        <p className="text-sm text-soft">
          That holds for its first rows. An import decides by all of them, and refuses the file when they do not say; or
          say it here.
        </p>
      )}
      <div className="mt-2 flex flex-wrap gap-3">
        {options.map(({ answer, label, reads, suggested }) => (
          <button
            key={answer}
            type="submit"
            name="answer"
            value={answer}
            className="cursor-pointer border border-ink px-3 py-1.5 text-start hover:border-accent hover:text-accent"
          >
            <span className="font-medium">{sentence(label).slice(0, -1)}</span>
            <span className="block text-sm text-soft">
              {reads ?? "not to be read so"}
              {suggested ? ", likely" : ""}
            </span>
            <span className="sr-only"> for {file.name}</span>
          </button>
        ))}
      </div>
    </form>
  );
}
