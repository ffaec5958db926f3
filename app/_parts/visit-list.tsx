import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { BeamLegend } from "@/app/_parts/marks/beam-legend";
import { BeamStrip } from "@/app/_parts/marks/beam-strip";
import { taskWords } from "@/app/_parts/words";
import type { VisitView } from "@/lib/services/visit-view";

/** Proposed visits as beam strips with their reason and money, best first. */
export function VisitList({
  visits,
  asOf,
  format,
  withSite = true,
}: {
  visits: readonly VisitView[];
  asOf: number;
  format: Format;
  withSite?: boolean;
}) {
  const longestM = Math.max(1, ...visits.map(({ beam }) => beam.pathLengthM));
  return (
    <>
      <BeamLegend />
      <ol className="mt-4">
        {visits.map((visit) => (
          <Visit
            key={visit.detectorId}
            visit={visit}
            longestM={longestM}
            asOf={asOf}
            format={format}
            withSite={withSite}
          />
        ))}
      </ol>
    </>
  );
}

function Visit({
  visit,
  longestM,
  asOf,
  format,
  withSite,
}: {
  visit: VisitView;
  longestM: number;
  asOf: number;
  format: Format;
  withSite: boolean;
}) {
  const { beam, detectorId, label, siteId, siteName, task, reason, rank, testOverdueDays } = visit;
  return (
    <li className="grid grid-cols-[2rem_minmax(0,1fr)] gap-x-3 border-t border-rule py-4 md:grid-cols-[2.5rem_minmax(0,1fr)_13rem] md:gap-x-6">
      <span className="font-serif text-xl text-soft">
        <span className="sr-only">Rank </span>
        {rank}
      </span>
      <div className="min-w-0">
        <h3 className="flex flex-wrap items-baseline gap-x-3">
          <Link href={`/detectors/${encodeURIComponent(detectorId)}`} className="font-semibold">
            {label}
          </Link>
          {withSite ? (
            <Link href={`/sites/${encodeURIComponent(siteId)}`} className="text-sm text-soft">
              {siteName}
            </Link>
          ) : null}
          <span className="text-sm text-soft">
            {detectorId}, {format.number(beam.pathLengthM)} m
            {beam.latestSignalPct === null ? ", no reading" : `, signal ${format.number(beam.latestSignalPct)} %`}
          </span>
        </h3>
        <div className="my-1">
          <BeamStrip label={label} beam={beam} longestM={longestM} asOf={asOf} />
        </div>
        <p className="max-w-[64ch] font-serif text-pretty">{reason}</p>
        {testOverdueDays !== null && testOverdueDays > 0 ? (
          <p className="mt-1 text-sm text-worse">
            Functional test overdue by {format.number(testOverdueDays)} days; it is due whatever its rank.
          </p>
        ) : null}
      </div>
      <Money visit={visit} task={taskWords[task]} format={format} />
    </li>
  );
}

function Money({ visit, task, format }: { visit: VisitView; task: string; format: Format }) {
  const { cost, avoidedCost, netBenefit } = visit;
  return (
    <dl className="col-start-2 mt-3 text-sm md:col-start-3 md:mt-0">
      <div className="flex items-baseline justify-between gap-3 border-b border-ink pb-1">
        <dt className="font-semibold">{task}</dt>
        <dd className="text-base font-semibold">{format.money(netBenefit)} net</dd>
      </div>
      <div className="flex justify-between gap-3 pt-1">
        <dt className="text-soft">avoids</dt>
        <dd>{format.money(avoidedCost.mean)}</dd>
      </div>
      <div className="flex justify-between gap-3 text-soft">
        <dt className="sr-only">interval of the avoided cost</dt>
        <dd className="w-full text-end">{format.range(avoidedCost, format.money)}</dd>
      </div>
      <div className="flex justify-between gap-3">
        <dt className="text-soft">costs, made alone</dt>
        <dd>{format.money(cost)}</dd>
      </div>
    </dl>
  );
}
