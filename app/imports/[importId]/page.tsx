import type { Metadata } from "next";
import Link from "next/link";
import { notFound } from "next/navigation";
import { z } from "zod";
import { JobPanel } from "@/app/_parts/job-panel";
import { PageHeader } from "@/app/_parts/page-header";
import { Section } from "@/app/_parts/section";
import { counted } from "@/app/_parts/words";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { ImportReport } from "@/app/imports/_parts/import-report";
import { TakeBackForm } from "@/app/imports/[importId]/_parts/take-back-form";
import { showImport } from "@/lib/services/show-import";

const SHOWN_ROWS = 50;
const idSchema = z.coerce.number().int().positive();
const searchSchema = z.object({ job: z.uuid().optional().catch(undefined) });

/** The import's number as the title. */
export async function generateMetadata({ params }: PageProps<"/imports/[importId]">): Promise<Metadata> {
  return { title: `Import ${(await params).importId}` };
}

/** One import: its files, what did not go in, and the way to take it back. */
export default async function ImportPage({ params, searchParams }: PageProps<"/imports/[importId]">) {
  const id = idSchema.safeParse((await params).importId);
  if (!id.success) notFound();
  const { job } = searchSchema.parse(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showImport(context, { importId: id.data, limit: SHOWN_ROWS }));
  const format = await currentFormat();
  const notIn = view.files.reduce((sum, file) => sum + file.refused + file.waiting + file.conflicts, 0);
  return (
    <>
      <PageHeader
        title={`Import ${view.id}`}
        above={<Link href="/imports">Imports</Link>}
        lead={
          <p>
            {counted(view.files.length, "file")} on {format.moment(view.importedAt, "UTC")};{" "}
            {notIn === 0
              ? "every row went in or was there already"
              : `${counted(notIn, "row", { write: format.number })} did not go in`}
            {view.takenBackAt === null ? "." : `. It was taken back on ${format.moment(view.takenBackAt, "UTC")}.`}
          </p>
        }
      />
      {job ? <JobPanel id={job} title="Analysis without this import" /> : null}
      <Section id="files" title="Files">
        <ImportReport importId={view.id} files={view.files} format={format} />
      </Section>
      {view.takenBackAt === null ? (
        <Section id="take-back" title="Take it back">
          <TakeBackForm importId={view.id} />
        </Section>
      ) : null}
    </>
  );
}
