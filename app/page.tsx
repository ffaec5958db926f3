import type { Metadata } from "next";
import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { MonthHour } from "@/app/_parts/marks/month-hour";
import { SiteMap } from "@/app/_parts/marks/site-map";
import { MonthsFigure } from "@/app/_parts/months-figure";
import { NoResult } from "@/app/_parts/no-result";
import { FourFigures } from "@/app/_parts/overview/four-figures";
import { Freshness } from "@/app/_parts/overview/freshness";
import { PageHeader } from "@/app/_parts/page-header";
import { RunNote, StaleNote } from "@/app/_parts/run-note";
import { Section } from "@/app/_parts/section";
import { VisitList } from "@/app/_parts/visit-list";
import { counted } from "@/app/_parts/words";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { type FleetView, showFleet } from "@/lib/services/show-fleet";

// The template of the layout does not reach the page beside it.
export const metadata: Metadata = { title: { absolute: "Overview · Rafterline" } };

/** How do we stand, what first? */
export default async function OverviewPage() {
  const context = await currentContext();
  const view = await answer(() => showFleet(context));
  if (view.state === "no_result") return <NoResult sites={view.sites} />;
  const format = await currentFormat({ currency: view.run.currency });
  const { run, fleet, visits } = view;
  return (
    <>
      <StaleNote run={run} />
      <PageHeader
        above={<RunNote run={run} format={format} />}
        title={titleOf(view, format)}
        lead={<Summary view={view} format={format} />}
      />
      <Section
        id="figures"
        title="How it stands"
        note="Each with its last 24 months; shaded is the 95 % interval, broken the limit."
      >
        <FourFigures view={view} format={format} />
      </Section>
      <Section
        id="visits"
        title="What to visit first"
        note={
          <p>
            Ranked by avoided cost less the cost of the visit made alone; ranges are 90 % intervals. Where the net is
            below zero, the visit does not pay by itself. <br />
            <Link href="/detectors">All detectors</Link>
          </p>
        }
      >
        <VisitList visits={visits} asOf={run.asOf} format={format} />
      </Section>
      <Section id="when" title="When false alarms come" note="Genuine fires and events not yet judged are not counted.">
        <MonthHour data={view.falseAlarms} format={format} />
      </Section>
      <Section
        id="where"
        title="Where waiting costs most"
        note={
          <p>
            Expected cost of faults and unwanted alarms in the next {format.number(run.horizonDays)} days without a
            visit. <Link href="/sites">All sites</Link>
          </p>
        }
      >
        <SiteMap sites={view.sites} format={format} />
      </Section>
      <Section
        id="months"
        title="Month by month"
        note="Common-cause episodes, such as a failed supply, belong to the site and never count against a detector."
      >
        <MonthsFigure name="The fleet" months={view.months} format={format} />
      </Section>
      <Section
        id="freshness"
        title="How fresh the data are"
        note={`${format.number(fleet.sites)} sites, times in each site’s own zone.`}
      >
        <Freshness sites={view.sites} format={format} />
      </Section>
    </>
  );
}

function titleOf({ fleet }: FleetView, format: Format): string {
  const { visits } = fleet.worthwhile;
  if (visits === 0) return `None of ${format.number(fleet.detectors)} detectors is worth a visit now`;
  return `${format.number(visits)} of ${format.number(fleet.detectors)} detectors ${visits === 1 ? "is" : "are"} worth a visit now`;
}

function Summary({ view: { run, fleet }, format }: { view: FleetView; format: Format }) {
  const { worthwhile, expectedCost, expectedFaults, expectedUnwantedAlarms } = fleet;
  const whole = (value: number) => format.number(value);
  return (
    <p>
      Left alone, the {format.number(run.horizonDays)} days ahead bring about {whole(expectedFaults.mean)} faults and{" "}
      {whole(expectedUnwantedAlarms.mean)} unwanted alarms and cost {format.moneyAbout(expectedCost.mean)} (
      {format.range(expectedCost, format.moneyAbout)})
      {worthwhile.visits > 0 ? (
        <>
          ; {counted(worthwhile.visits, "visit", { write: whole })} for {format.moneyAbout(worthwhile.cost)}{" "}
          {worthwhile.visits === 1 ? "avoids" : "avoid"} {format.moneyAbout(worthwhile.avoidedCost.mean)} of it (
          {format.range(worthwhile.avoidedCost, format.moneyAbout)}).
        </>
      ) : (
        "; no visit avoids more than it costs."
      )}
    </p>
  );
}
