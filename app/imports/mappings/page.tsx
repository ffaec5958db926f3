import type { Metadata } from "next";
import Link from "next/link";
import { PageHeader } from "@/app/_parts/page-header";
import { Section } from "@/app/_parts/section";
import { EmptyState } from "@/app/_parts/states";
import { Table } from "@/app/_parts/table";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { listMappings } from "@/lib/services/mappings";

export const metadata: Metadata = { title: "Saved mappings" };

/** The saved mappings: their versions, what they read, and which are retired. */
export default async function MappingsPage() {
  const context = await currentContext();
  const mappings = await answer(() => listMappings(context));
  const format = await currentFormat();
  return (
    <>
      <PageHeader
        title="Saved mappings"
        above={<Link href="/imports">Imports</Link>}
        lead={
          <p>
            How tables with columns and words of their own become ours. The next file with the same columns is read by
            itself.
          </p>
        }
      />
      <Section id="mappings" title="By name">
        {mappings.length === 0 ? (
          <EmptyState title="No mapping is saved yet.">
            <p>
              Drop a table with other columns on <Link href="/imports">Imports</Link>; what you set there can be saved
              under a name.
            </p>
          </EmptyState>
        ) : (
          <Table
            caption="Saved mappings"
            columns={[
              { key: "name", label: "Mapping" },
              { key: "version", label: "Latest version", align: "end" },
              { key: "saved", label: "Saved" },
              { key: "files", label: "Files read", align: "end" },
              { key: "state", label: "State" },
            ]}
            rows={mappings.map(({ name, versions, retiredAt }) => {
              const last = versions.at(-1);
              return {
                key: name,
                cells: [
                  <Link key="name" href={`/imports/mappings/${encodeURIComponent(name)}`}>
                    <bdi>{name}</bdi>
                  </Link>,
                  last ? String(last.version) : "",
                  last ? format.dayOf(last.savedAt, "UTC") : "",
                  format.number(versions.reduce((sum, { files }) => sum + files, 0)),
                  retiredAt === null ? "offered" : "retired",
                ],
              };
            })}
          />
        )}
      </Section>
    </>
  );
}
