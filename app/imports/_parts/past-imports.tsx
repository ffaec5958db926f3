import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import { counted } from "@/app/_parts/words";
import type { ImportView } from "@/lib/services/show-import";

/** Imports, latest first: when, what, and what became of the rows. */
export function PastImports({ imports, format }: { imports: readonly ImportView[]; format: Format }) {
  return (
    <Table
      caption="Imports, latest first"
      columns={[
        { key: "import", label: "Import" },
        { key: "files", label: "Files" },
        { key: "rows", label: "Rows", align: "end" },
        { key: "accepted", label: "Accepted", align: "end" },
        { key: "not", label: "Did not go in", note: "refused, waiting, in conflict", align: "end" },
        { key: "state", label: "State" },
      ]}
      rows={imports.map((one) => ({ key: String(one.id), cells: cellsOf(one, format) }))}
    />
  );
}

function cellsOf(one: ImportView, format: Format) {
  const sum = (count: (file: ImportView["files"][number]) => number) =>
    one.files.reduce((total, file) => total + count(file), 0);
  const unread = one.files.filter(({ failure }) => failure !== null).length;
  const notIn = sum(({ refused, waiting, conflicts }) => refused + waiting + conflicts);
  return [
    <span key="import">
      <Link href={`/imports/${one.id}`}>{one.id}</Link>{" "}
      <span className="font-normal whitespace-nowrap text-soft">{format.moment(one.importedAt, "UTC")}</span>
    </span>,
    one.files.map(({ name }) => name).join(", "),
    format.number(sum(({ rows }) => rows)),
    format.number(sum(({ accepted, replaced }) => accepted + replaced)),
    format.number(notIn),
    [
      one.takenBackAt === null ? "stands" : "taken back",
      unread > 0 ? `${counted(unread, "file")} not read` : null,
      one.replaces ? "replaced stored rows" : null,
    ]
      .filter((part) => part !== null)
      .join(", "),
  ];
}
