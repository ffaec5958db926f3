import type { Metadata } from "next";
import Link from "next/link";
import { notFound, redirect } from "next/navigation";
import { z } from "zod";
import { PageHeader } from "@/app/_parts/page-header";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { jobs } from "@/app/_server/jobs";
import { MappingEditor } from "@/app/imports/files/[jobId]/[position]/_parts/mapping-editor";
import { listMappings } from "@/lib/services/mappings";
import { previewFile } from "@/lib/services/preview-file";

export const metadata: Metadata = { title: "How a file is read" };

const place = z.object({ jobId: z.uuid(), position: z.coerce.number().int().nonnegative() });

/** One file of an upload: how it is read, and what becomes of its rows, before anything is stored. */
export default async function FilePage({ params }: PageProps<"/imports/files/[jobId]/[position]">) {
  const asked = place.safeParse(await params);
  if (!asked.success) notFound();
  const { jobId, position } = asked.data;
  const job = jobs().view(jobId);
  // An upload that is gone or under way has nothing to be set any more: its page says how it stands.
  if (job?.state !== "uploading") redirect(`/imports?job=${jobId}`);
  const context = await currentContext();
  const { name, path, plan } = await answer(() => jobs().files(jobId).get(position));
  const look = { draft: plan?.draft ?? null, saved: null, table: {} };
  const preview = await answer(() => previewFile(context, { name, path, look }));
  const mappings = await answer(() => listMappings(context));
  return (
    <>
      <PageHeader
        title={<bdi className="break-words">{name}</bdi>}
        above={<Link href={`/imports?job=${jobId}`}>Back to the upload</Link>}
        lead={<p>What stands in it, and what we make of it. Change what is not right; the rows below follow.</p>}
      />
      <MappingEditor
        jobId={jobId}
        position={position}
        name={name}
        initial={{ ...preview, saved: plan?.saved ?? preview.saved }}
        mappings={mappings.filter(({ retiredAt }) => retiredAt === null).map((one) => one.name)}
      />
      <noscript>
        <p>
          Changing how a file is read needs scripts; without them save a mapping on the command line:{" "}
          <code>npm run -s rafterline -- mappings --help</code>
        </p>
      </noscript>
    </>
  );
}
