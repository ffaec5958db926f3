import type { Metadata, Route } from "next";
import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { BeamLegend } from "@/app/_parts/marks/beam-legend";
import { NoResult } from "@/app/_parts/no-result";
import { PageHeader } from "@/app/_parts/page-header";
import { Pager } from "@/app/_parts/pager";
import { asOfWords, RunNote, StaleNote } from "@/app/_parts/run-note";
import { EmptyState } from "@/app/_parts/states";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { DetectorList } from "@/app/detectors/_parts/detector-list";
import { FilterForm } from "@/app/detectors/_parts/filter-form";
import { OrderLinks } from "@/app/detectors/_parts/order-links";
import { detectorsQueryOf, detectorsSearch } from "@/lib/services/detectors-query";
import { type DetectorsQuery, type DetectorsView, showDetectors } from "@/lib/services/show-detectors";

export const metadata: Metadata = { title: "Detectors" };

/** Which detectors, in which order: filter, order and page all stand in the address. */
export default async function DetectorsPage({ searchParams }: PageProps<"/detectors">) {
  const query = detectorsQueryOf(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showDetectors(context, query));
  const { run } = view;
  if (!run) {
    return <NoResult sites={view.sites.length} />;
  }
  const format = await currentFormat({ currency: run.currency });
  return (
    <>
      <PageHeader title="Detectors" lead={<p>{leadOf(view, { query, format })}</p>} />
      <StaleNote run={run} />
      <FilterForm view={view} query={query} />
      {view.rows.length === 0 ? (
        <EmptyState title="No detector fits.">
          <p>
            Take a condition away, or <Link href="/detectors">show all of them</Link>.
          </p>
        </EmptyState>
      ) : (
        <>
          <div className="mb-4 flex flex-wrap items-baseline justify-between gap-x-8 gap-y-3">
            <OrderLinks query={query} />
            <BeamLegend />
          </div>
          <DetectorList rows={view.rows} asOf={run.asOf} horizonDays={run.horizonDays} format={format} />
          <Pager
            page={view.page}
            pages={view.pages}
            total={format.number(view.total)}
            what="detectors"
            hrefOf={(page): Route => `/detectors${detectorsSearch({ ...query, page })}`}
          />
          <p className="mt-4 text-sm text-soft">
            <a href={`/detectors/export${detectorsSearch({ ...query, page: 1 })}`} download>
              Download all {format.number(view.total)} as CSV
            </a>
            . <RunNote run={run} format={format} />
          </p>
        </>
      )}
    </>
  );
}

function leadOf(view: DetectorsView, { query, format }: { query: DetectorsQuery; format: Format }): string {
  const { run, total } = view;
  if (!run) return "";
  const asOf = asOfWords(run.asOf, format);
  const filtered = [query.siteId, query.kind, query.access, query.text].some((part) => part !== undefined);
  const listed = run.fleet.kinds.reduce((sum, kind) => sum + kind.listed, 0);
  if (filtered) return `${format.number(total)} of ${format.number(run.fleet.detectors)} detectors fit, as of ${asOf}.`;
  return `${format.number(total)} detectors in service as of ${asOf}, with ${format.number(listed)} findings; ${format.number(run.fleet.worthwhile.visits)} visits would save more than they cost.`;
}
