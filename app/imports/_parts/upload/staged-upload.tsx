import { Suspense } from "react";
import { Button } from "@/app/_parts/button";
import type { Format } from "@/app/_parts/format";
import { counted } from "@/app/_parts/words";
import { giveUp, startImport } from "@/app/_server/upload-actions";
import { ReadingChoices } from "@/app/imports/_parts/upload/reading-choices";
import { FileBeingLookedAt, type NamedFile, StagedFile } from "@/app/imports/_parts/upload/staged-file";
import type { FileDescription } from "@/lib/services/describe-file";

/** How a file of the upload is described, by its position. */
export type Describe = (position: number) => Promise<FileDescription>;

/** Files that were sent and wait: each looked at, and one button that imports them. Works without scripts. */
export function StagedUpload({
  jobId,
  files,
  describe,
  format,
}: {
  jobId: string;
  files: readonly NamedFile[];
  describe: Describe;
  format: Format;
}) {
  return (
    <>
      <ol aria-label="Files to import" className="border-t border-ink">
        {files.map((file) => (
          <li key={file.position} className="border-b border-rule py-5">
            <Suspense fallback={<FileBeingLookedAt file={file} />}>
              <Described jobId={jobId} file={file} describe={describe} format={format} />
            </Suspense>
          </li>
        ))}
      </ol>
      <Suspense fallback={<p className="mt-6 text-soft">Looking at the files.</p>}>
        <Decision jobId={jobId} files={files} describe={describe} />
      </Suspense>
    </>
  );
}

async function Described({
  describe,
  ...rest
}: {
  jobId: string;
  file: NamedFile;
  describe: Describe;
  format: Format;
}) {
  return <StagedFile {...rest} description={await describe(rest.file.position)} />;
}

async function Decision({
  jobId,
  files,
  describe,
}: {
  jobId: string;
  files: readonly NamedFile[];
  describe: Describe;
}) {
  const states = await Promise.all(files.map(async ({ position }) => (await describe(position)).state));
  const named = (wanted: FileDescription["state"]) =>
    files.filter((_, index) => states[index] === wanted).map(({ name }) => name);
  const [ready, asking, unreadable] = [named("ready"), named("asks"), named("unreadable")];
  return (
    <div className="mt-6">
      <form action={startImport}>
        <input type="hidden" name="jobId" value={jobId} />
        {asking.length === 0 && ready.length > 0 ? (
          <>
            <Button look="main" type="submit">
              Import {ready.length === 1 ? "this file" : `these ${ready.length} files`}
            </Button>
            {unreadable.length > 0 ? (
              <p className="mt-3 text-sm">
                {counted(unreadable.length, "file")} that cannot be read {unreadable.length === 1 ? "stays" : "stay"}{" "}
                out.
              </p>
            ) : null}
            <ReadingChoices />
          </>
        ) : (
          <p className="max-w-[60ch] font-serif text-lg">
            {asking.length > 0
              ? `${asking.length === 1 ? "One file needs" : `${asking.length} files need`} a look first. Then all go in together, or leave ${asking.length === 1 ? "it" : "them"} out.`
              : "None of these files can be read. Mend them and drop them again."}
          </p>
        )}
      </form>
      <form action={giveUp} className="mt-5">
        <input type="hidden" name="jobId" value={jobId} />
        <button type="submit" className="cursor-pointer text-sm text-accent underline underline-offset-4">
          Give this upload up
        </button>
      </form>
    </div>
  );
}
