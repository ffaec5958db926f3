import type { Metadata, Route } from "next";
import Link from "next/link";
import { z } from "zod";
import { Button } from "@/app/_parts/button";
import type { Format } from "@/app/_parts/format";
import { JobPanel } from "@/app/_parts/job-panel";
import { PageHeader } from "@/app/_parts/page-header";
import { Pager } from "@/app/_parts/pager";
import { Section } from "@/app/_parts/section";
import { EmptyState } from "@/app/_parts/states";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { analyseFromImports } from "@/app/_server/import-actions";
import type { JobView } from "@/app/_server/job-view";
import { jobs } from "@/app/_server/jobs";
import { currentFormat } from "@/app/_server/reader";
import { MAX_FILE_BYTES, MAX_FILES } from "@/app/_server/staging";
import { ImportReport } from "@/app/imports/_parts/import-report";
import { PastImports } from "@/app/imports/_parts/past-imports";
import { StagedUpload } from "@/app/imports/_parts/upload/staged-upload";
import { Upload } from "@/app/imports/_parts/upload/upload";
import { listImports } from "@/lib/services/list-imports";
import { showImport } from "@/lib/services/show-import";

export const metadata: Metadata = { title: "Imports" };

const PER_PAGE = 20;
const SHOWN_ROWS = 50;
const searchSchema = z.object({
  job: z.uuid().optional().catch(undefined),
  page: z.coerce.number().int().min(1).max(1e6).catch(1),
});

/** What came in, what did not; the job under way stands in the address. */
export default async function ImportsPage({ searchParams }: PageProps<"/imports">) {
  const search = searchSchema.parse(await searchParams);
  const context = await currentContext();
  const { total, imports } = await answer(() =>
    listImports(context, { limit: PER_PAGE, offset: (search.page - 1) * PER_PAGE }),
  );
  const format = await currentFormat();
  const job = search.job ? jobs().view(search.job) : null;
  const staged = job !== null && isStaged(job) ? job : null;
  return (
    <>
      <PageHeader
        title="Imports"
        lead={<p>Drop what your sites send. See what becomes of each row, mend what is not right, and take it in.</p>}
      />
      <CurrentJob asked={search.job ?? null} format={format} />
      <Section
        id="upload"
        title={staged ? "Bring more in" : "Bring files in"}
        note="They go to this server and nowhere else."
      >
        <Upload jobId={staged?.id ?? null} maxBytes={MAX_FILE_BYTES} maxFiles={MAX_FILES} />
        <p className="mt-4 text-sm">
          <Link href="/imports/mappings">Saved mappings</Link>{" "}
          <span className="text-soft">say how tables with other columns are read.</span>
        </p>
        <noscript>
          <p>
            Sending files needs scripts; without them use <code>npm run -s rafterline -- import FILE...</code>
          </p>
        </noscript>
      </Section>
      <Section id="past" title="Past imports" note={total > 0 ? `${format.number(total)} so far` : null}>
        {imports.length === 0 ? (
          <EmptyState title="Nothing has come in yet.">
            <p>Each import stands here with its files and can be taken back whole.</p>
          </EmptyState>
        ) : (
          <PastImports imports={imports} format={format} />
        )}
        {total > PER_PAGE ? (
          <Pager
            page={search.page}
            pages={Math.ceil(total / PER_PAGE)}
            total={format.number(total)}
            what="imports"
            hrefOf={(page): Route => `/imports?page=${page}`}
          />
        ) : null}
      </Section>
      {total > 0 ? (
        <Section id="analysis-again" title="Analyse again">
          <p className="mb-4 max-w-[60ch] text-soft">
            Every import and every import taken back is analysed by itself. Ask for it here after settings changed, or
            after an import on the command line.
          </p>
          <form action={analyseFromImports}>
            <Button type="submit">Analyse again</Button>
          </form>
        </Section>
      ) : null}
    </>
  );
}

/** The job of the address: files to be looked over, or how far it is and what came of it; else one that is at work. */
function CurrentJob({ asked, format }: { asked: string | null; format: Format }) {
  const job = asked === null ? null : jobs().view(asked);
  const other = jobs().current();
  if (job !== null && isStaged(job)) {
    if (job.files.length === 0) return null;
    return (
      <Section
        id="look"
        title="Look it over"
        note="Nothing of it is stored yet. It waits here, also when you close the page."
      >
        <StagedUpload
          jobId={job.id}
          files={job.files}
          describe={(position) => jobs().files(job.id).describe(position)}
          format={format}
        />
      </Section>
    );
  }
  if (asked !== null) {
    return (
      <Section id="job" title="Under way and done">
        <JobPanel id={asked} title="This job" />
        {job?.importId ? <Outcome importId={job.importId} /> : null}
      </Section>
    );
  }
  if (other === null) return null;
  return (
    <Section id="job" title="Under way">
      <p>
        Another job is at work: <Link href={`/imports?job=${other.id}`}>see how far it is</Link>. A new one waits its
        turn.
      </p>
    </Section>
  );
}

/** Whether a job still takes files, so that they can be looked over. */
function isStaged({ state, kind }: JobView): boolean {
  return state === "uploading" && kind === "import";
}

async function Outcome({ importId }: { importId: number }) {
  const context = await currentContext();
  const format = await currentFormat();
  const view = await answer(() => showImport(context, { importId, limit: SHOWN_ROWS }));
  return (
    <div>
      <p className="mb-4">
        It is <Link href={`/imports/${importId}`}>import {importId}</Link>.
      </p>
      <ImportReport importId={importId} files={view.files} format={format} />
    </div>
  );
}
