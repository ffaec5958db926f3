import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { BeamStrip } from "@/app/_parts/marks/beam-strip";
import { accessWords, taskWords } from "@/app/_parts/words";
import type { Estimate } from "@/lib/kernel/interval";
import type { DetectorRowView } from "@/lib/services/show-detectors";

/** Detectors as their beams: who it is, what was found, what it costs and what the best visit is worth. */
export function DetectorList({
  rows,
  asOf,
  horizonDays,
  format,
}: {
  rows: readonly DetectorRowView[];
  asOf: number;
  horizonDays: number;
  format: Format;
}) {
  const longestM = Math.max(...rows.map(({ pathLengthM }) => pathLengthM));
  return (
    <ol aria-label="Detectors" className="border-t border-ink">
      {rows.map((row) => (
        <li
          key={row.detectorId}
          className="grid gap-x-8 gap-y-3 border-b border-rule py-4 md:grid-cols-[13rem_minmax(0,1fr)] lg:grid-cols-[13rem_minmax(0,1fr)_18rem]"
        >
          <Who row={row} format={format} />
          <div className="min-w-0">
            <BeamStrip
              label={row.detectorId}
              beam={{ ...row.result.record, form: row.form, pathLengthM: row.pathLengthM }}
              longestM={longestM}
              asOf={asOf}
            />
            <What row={row} />
          </div>
          <Money row={row} horizonDays={horizonDays} format={format} />
        </li>
      ))}
    </ol>
  );
}

function Who({ row, format }: { row: DetectorRowView; format: Format }) {
  return (
    <div className="min-w-0">
      <h2 className="text-base font-semibold">
        <Link href={`/detectors/${encodeURIComponent(row.detectorId)}`}>{row.detectorId}</Link>
      </h2>
      <p className="text-sm text-soft">
        {row.label}, <Link href={`/sites/${encodeURIComponent(row.siteId)}`}>{row.siteName}</Link>
      </p>
      <p className="text-sm text-soft">
        {format.number(row.pathLengthM, { digits: 1 })} m, {accessWords[row.access]}
      </p>
    </div>
  );
}

function What({ row }: { row: DetectorRowView }) {
  const { findings, record } = row.result;
  const overdue = record.testOverdueDays ?? 0;
  return (
    <div className="mt-1 space-y-1 text-sm text-pretty">
      {findings.map(({ kind, sentence }) => (
        <p key={kind}>{sentence}</p>
      ))}
      {findings.length === 0 ? <p className="text-soft">No finding.</p> : null}
      {overdue > 0 ? (
        <p className="font-semibold text-worse">
          <span aria-hidden="true">▲ </span>Functional test overdue by {overdue} {overdue === 1 ? "day" : "days"}
        </p>
      ) : null}
      {record.notes.map((note) => (
        <p key={note} className="text-soft">
          {note}
        </p>
      ))}
    </div>
  );
}

function Money({ row, horizonDays, format }: { row: DetectorRowView; horizonDays: number; format: Format }) {
  const { expectedCost, visit } = row.result;
  return (
    <dl className="text-sm md:col-start-2 lg:col-start-3">
      <Amount label={`next ${horizonDays} days`} estimate={expectedCost} format={format} />
      <div className="flex justify-between gap-3">
        <dt className="text-soft">{taskWords[visit.task]} costs</dt>
        <dd>{format.money(visit.cost)}</dd>
      </div>
      <Amount label="net benefit" estimate={row.benefit} format={format} strong />
    </dl>
  );
}

function Amount({
  label,
  estimate,
  format,
  strong = false,
}: {
  label: string;
  estimate: Estimate;
  format: Format;
  strong?: boolean;
}) {
  return (
    <div className="flex items-baseline justify-between gap-3">
      <dt className="whitespace-nowrap text-soft">{label}</dt>
      <dd className="text-right">
        <span className="text-xs whitespace-nowrap text-soft">{format.range(estimate, format.money)}</span>{" "}
        <span className={`ml-1 ${strong ? "font-semibold" : ""}`}>{format.money(estimate.mean)}</span>
      </dd>
    </div>
  );
}
