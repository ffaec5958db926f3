import type { Metadata } from "next";
import Link from "next/link";
import { RoofPlan } from "@/app/_parts/marks/roof-plan";
import { MonthsFigure } from "@/app/_parts/months-figure";
import { PageHeader } from "@/app/_parts/page-header";
import { RunNote, StaleNote } from "@/app/_parts/run-note";
import { Section } from "@/app/_parts/section";
import { EmptyState } from "@/app/_parts/states";
import { VisitList } from "@/app/_parts/visit-list";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { BeamTable, roofBeamOf } from "@/app/sites/[siteId]/_parts/beam-table";
import { CommonCause } from "@/app/sites/[siteId]/_parts/common-cause";
import { DataQuality } from "@/app/sites/[siteId]/_parts/data-quality";
import { Limits } from "@/app/sites/[siteId]/_parts/limits";
import { OverdueTests } from "@/app/sites/[siteId]/_parts/overdue-tests";
import { SiteFigures } from "@/app/sites/[siteId]/_parts/site-figures";
import { SiteLead } from "@/app/sites/[siteId]/_parts/site-lead";
import { showSite } from "@/lib/services/show-site";

/** The id of the site stands in the title, so that two open tabs can be told apart. */
export async function generateMetadata({ params }: PageProps<"/sites/[siteId]">): Promise<Metadata> {
  return { title: `Site ${decodeURIComponent((await params).siteId)}` };
}

const BEST_VISITS = 5;

/** Which site, why? */
export default async function SitePage({ params }: PageProps<"/sites/[siteId]">) {
  const siteId = decodeURIComponent((await params).siteId);
  const context = await currentContext();
  const view = await answer(() => showSite(context, { siteId }));
  const above = <Link href="/sites">Sites</Link>;
  if (view.state === "no_result") {
    return (
      <>
        <PageHeader above={above} title={view.site.name} />
        <EmptyState title="Nothing was computed for this site yet.">
          <p>
            It is in the store, but not in the latest analysis. <Link href="/imports">Analyse</Link> to see it here.
          </p>
        </EmptyState>
      </>
    );
  }
  const { run, site, result, beams } = view;
  const format = await currentFormat({ currency: run.currency });
  const visits = beams.filter(({ netBenefit }) => netBenefit > 0).slice(0, BEST_VISITS);
  return (
    <>
      <StaleNote run={run} />
      <PageHeader
        above={
          <>
            {above} / {site.siteId}. <RunNote run={run} format={format} />
          </>
        }
        title={site.name}
        lead={<SiteLead view={view} format={format} />}
      />
      <Section id="figures" title="How it stands" note="The last 12 months; intervals are 95 %.">
        <SiteFigures view={view} format={format} />
      </Section>
      <Section id="tests" title="Tests overdue" note="Due by the standard and local code, whatever their rank.">
        <OverdueTests beams={beams} format={format} />
      </Section>
      <Section id="roof" title="Under the roof" note="Each bar a beam; its edge by expected cost, its line by signal.">
        <RoofPlan siteName={site.name} beams={beams.map(roofBeamOf)} format={format} />
        <BeamTable beams={beams} format={format} />
      </Section>
      <Section
        id="visits"
        title="Best visits here"
        note="Ranked over the whole fleet; each visit made alone, ranges are 90 % intervals."
      >
        {visits.length > 0 ? (
          <VisitList visits={visits} asOf={run.asOf} format={format} withSite={false} />
        ) : (
          <p className="font-serif">No visit here avoids more than it costs.</p>
        )}
      </Section>
      <Section id="limits" title="Against the false-alarm limits" note={`Rate of ${result.falseAlarmBase}.`}>
        <Limits limits={result.limits} format={format} />
      </Section>
      <Section
        id="common-cause"
        title="Common causes"
        note="What many detectors share: a rise of the whole site, faults at once, supply and communication. It counts against the site, never against a detector."
      >
        <p className="mb-4 max-w-[66ch] font-serif text-pretty">
          {result.rising?.sentence ?? "Too few faults to judge whether the site as a whole is getting worse."}
        </p>
        <CommonCause episodes={result.commonCause} timeZone={site.timeZone} format={format} />
      </Section>
      <Section
        id="quality"
        title="Data quality"
        note="What limits what is said here, and by which rule it was looked for."
      >
        <DataQuality quality={result.quality} />
      </Section>
      <Section id="months" title="Month by month" note={`Months of ${site.timeZone}.`}>
        <MonthsFigure name={site.name} months={result.months} format={format} />
      </Section>
    </>
  );
}
