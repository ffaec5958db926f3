import type { Metadata } from "next";
import Link from "next/link";
import { z } from "zod";
import { Button } from "@/app/_parts/button";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { PageHeader } from "@/app/_parts/page-header";
import { Section } from "@/app/_parts/section";
import { Table } from "@/app/_parts/table";
import { counted } from "@/app/_parts/words";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { retire } from "@/app/_server/mapping-actions";
import { currentFormat } from "@/app/_server/reader";
import { otherwiseWords, partsWords, readingWords } from "@/app/imports/mappings/_parts/rule-words";
import { type MappingView, showMappingPage } from "@/lib/services/show-mapping";

const searchSchema = z.object({ version: z.coerce.number().int().positive().optional().catch(undefined) });

/** The mapping's name as the title. */
export async function generateMetadata({ params }: PageProps<"/imports/mappings/[name]">): Promise<Metadata> {
  return { title: decodeURIComponent((await params).name) };
}

/** One saved mapping in plain words: where each column of ours comes from, its words, and the files it read. */
export default async function MappingPage({ params, searchParams }: PageProps<"/imports/mappings/[name]">) {
  const name = decodeURIComponent((await params).name);
  const { version } = searchSchema.parse(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showMappingPage(context, { name, version }));
  const format = await currentFormat();
  return (
    <>
      <PageHeader
        title={<bdi className="break-words">{view.name}</bdi>}
        above={<Link href="/imports/mappings">Saved mappings</Link>}
        lead={
          <p>
            Version {view.version} of {view.versions.length}, saved on {format.dayOf(view.savedAt, "UTC")}: makes{" "}
            {view.mapping.kind} of tables with {counted(view.mapping.madeFor.length, "column")}.
            {view.retiredAt === null ? "" : " It is retired: no file is read by it unless it is named."}
          </p>
        }
      />
      <Section id="columns" title="Columns" note="Each of ours, what it is made of, and how that is read.">
        <Rules view={view} />
      </Section>
      <Versions view={view} format={format} />
      <ReadFiles view={view} format={format} />
      {view.retiredAt === null ? (
        <Section id="retire" title="Retire it">
          <form action={retire} className="max-w-[60ch] space-y-4">
            <input type="hidden" name="name" value={view.name} />
            <p className="text-soft">
              It reads no file by itself any more. What it read stays; saving a mapping under this name offers it again.
            </p>
            <Button type="submit">Retire it</Button>
          </form>
        </Section>
      ) : null}
    </>
  );
}

function Versions({ view, format }: { view: MappingView; format: Format }) {
  const here = addressOf(view.name);
  return (
    <Section id="versions" title="Versions" note="A version never changes; files keep the one that read them.">
      <ul>
        {view.versions.toReversed().map((one) => (
          <li key={one.version} className="py-1">
            <Link
              href={`${here}?version=${one.version}`}
              aria-current={one.version === view.version ? "true" : undefined}
            >
              Version {one.version}
            </Link>{" "}
            <span className="text-soft">
              {format.dayOf(one.savedAt, "UTC")}, read {counted(one.files, "file", { write: format.number })}
            </span>
          </li>
        ))}
      </ul>
      <p className="mt-4">
        <a href={`${here}/export?version=${view.version}`} download>
          Download this version as JSON
        </a>{" "}
        <span className="text-soft">for the command line or another installation.</span>
      </p>
    </Section>
  );
}

function ReadFiles({ view, format }: { view: MappingView; format: Format }) {
  return (
    <Section id="files" title="Files it read">
      {view.readFiles.length === 0 ? (
        <p className="text-soft">None yet.</p>
      ) : (
        <Table
          caption={`Files read by ${view.name}, latest first`}
          columns={[
            { key: "file", label: "File" },
            { key: "import", label: "Import" },
            { key: "version", label: "Version", align: "end" },
            { key: "rows", label: "Rows", align: "end" },
          ]}
          rows={view.readFiles.map((file, index) => ({
            key: `${file.importId}-${index.toString()}`,
            cells: [
              <bdi key="file">{file.name}</bdi>,
              <Link key="import" href={`/imports/${file.importId}`}>
                {file.importId}
              </Link>,
              String(file.version),
              format.number(file.rows),
            ],
          }))}
        />
      )}
    </Section>
  );
}

function addressOf(name: string) {
  return `/imports/mappings/${encodeURIComponent(name)}` as const;
}

function Rules({ view: { mapping } }: { view: MappingView }) {
  const rules = Object.entries(mapping.columns);
  return (
    <>
      <Table
        caption="How each column of ours is made"
        columns={[
          { key: "ours", label: "Our column" },
          { key: "theirs", label: "Made of" },
          { key: "read", label: "Read as" },
        ]}
        rows={rules.map(([column, rule]) => ({
          key: column,
          cells: [column, <bdi key="from">{partsWords(rule.parts)}</bdi>, readingWords(rule)],
        }))}
      />
      {rules.map(([column, { read }]) =>
        read.as === "words" ? (
          <DataBehind key={column} summary={`The words of ${column}`}>
            <Table
              caption={`Words of ${column}`}
              columns={[
                { key: "theirs", label: "Their word" },
                { key: "ours", label: "Stands for" },
              ]}
              rows={[
                ...read.words.map(({ theirs, ours }) => ({
                  key: theirs,
                  cells: [<bdi key="word">{theirs}</bdi>, ours ?? "nothing, an empty cell"],
                })),
                { key: "\u0000", cells: ["any other", otherwiseWords(read.otherwise)] },
              ]}
            />
          </DataBehind>
        ) : null,
      )}
    </>
  );
}
