import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import { accessWords } from "@/app/_parts/words";
import type { SiteBeamView } from "@/lib/services/show-site";

/** Detectors whose functional test is overdue, longest first; shown whole, never folded away. */
export function OverdueTests({ beams, format }: { beams: readonly SiteBeamView[]; format: Format }) {
  const overdue = beams
    .filter(({ testOverdueDays }) => testOverdueDays !== null && testOverdueDays > 0)
    .sort((a, b) => (b.testOverdueDays ?? 0) - (a.testOverdueDays ?? 0));
  if (overdue.length === 0) return <p className="font-serif">No functional test is overdue here.</p>;
  return (
    <Table
      caption="Functional tests overdue"
      columns={[
        { key: "detector", label: "Detector" },
        { key: "last", label: "Last test on record" },
        { key: "overdue", label: "Overdue by", align: "end" },
        { key: "access", label: "Reached by" },
      ]}
      rows={overdue.map(({ detectorId, label, lastTestOn, testOverdueDays, access }) => ({
        key: detectorId,
        cells: [
          <Link key="detector" href={`/detectors/${encodeURIComponent(detectorId)}`}>
            {label}
          </Link>,
          lastTestOn === null ? "none" : format.day(lastTestOn),
          `${format.number(testOverdueDays ?? 0)} days`,
          accessWords[access],
        ],
      }))}
    />
  );
}
