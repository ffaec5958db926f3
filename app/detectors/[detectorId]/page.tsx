import type { Metadata } from "next";
import Link from "next/link";
import { z } from "zod";
import { PageHeader } from "@/app/_parts/page-header";
import { QualityNotes } from "@/app/_parts/quality-notes";
import { RunNote, StaleNote } from "@/app/_parts/run-note";
import { Section } from "@/app/_parts/section";
import { EmptyState } from "@/app/_parts/states";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { ExplanationSection } from "@/app/detectors/[detectorId]/_parts/explanation-section";
import { FindingSection, TestsBehind } from "@/app/detectors/[detectorId]/_parts/finding-section";
import { Identity } from "@/app/detectors/[detectorId]/_parts/identity";
import { EventTable, WorkTable } from "@/app/detectors/[detectorId]/_parts/record-tables";
import { TimelineSection } from "@/app/detectors/[detectorId]/_parts/timeline-section";
import { VisitSection } from "@/app/detectors/[detectorId]/_parts/visit-section";
import { timelineSpans } from "@/lib/services/detector-timeline";
import { showDetector } from "@/lib/services/show-detector";

const searchSchema = z.object({ span: z.enum(timelineSpans).optional().catch(undefined) });

/** The detector's id as the title. */
export async function generateMetadata({ params }: PageProps<"/detectors/[detectorId]">): Promise<Metadata> {
  return { title: decodeURIComponent((await params).detectorId) };
}

/** What is wrong with this one, how sure is it, and what should be done? */
export default async function DetectorPage({ params, searchParams }: PageProps<"/detectors/[detectorId]">) {
  const detectorId = decodeURIComponent((await params).detectorId);
  const { span } = searchSchema.parse(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showDetector(context, { detectorId, span }));
  const { detector, site, run, row } = view;
  const format = await currentFormat(run ? { currency: run.currency } : {});
  return (
    <>
      <PageHeader
        title={detector.detectorId}
        above={
          <>
            {detector.label}, <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{site.name}</Link>
          </>
        }
      />
      {run ? <StaleNote run={run} /> : null}
      <Identity view={view} format={format} />
      <Section id="findings" title="What was found" note={run ? <RunNote run={run} format={format} /> : null}>
        {row === null ? (
          <EmptyState title="It has not been analysed yet.">
            <p>
              It came in after the last analysis, or was not in service then. Go to <Link href="/imports">Imports</Link>{" "}
              to analyse again.
            </p>
          </EmptyState>
        ) : row.result.findings.length === 0 ? (
          <p className="font-serif text-xl">Nothing stands out beyond chance, season and the fleet.</p>
        ) : (
          row.result.findings.map((finding) => (
            <FindingSection key={finding.kind} finding={finding} view={view} format={format} />
          ))
        )}
        <TestsBehind view={view} format={format} />
      </Section>
      {row?.result.quality && row.result.quality.length > 0 ? (
        <Section id="quality" title="What limits the data" note="Of this detector, and of its site as a whole.">
          <QualityNotes notes={row.result.quality} />
        </Section>
      ) : null}
      {run && row ? (
        <>
          <Section id="visit" title="The visit proposed">
            <VisitSection row={row} horizonDays={run.horizonDays} format={format} />
          </Section>
          <Section id="rank" title="Why it is ranked here">
            <ExplanationSection row={row} run={run} format={format} />
          </Section>
        </>
      ) : null}
      <Section id="timeline" title="All of it on one line of time" note="Times are those of the site.">
        <TimelineSection view={view.timeline} detectorId={detector.detectorId} format={format} />
      </Section>
      <Section id="events" title="Panel events" note={`${format.number(view.events.length)} on record`}>
        <EventTable view={view} format={format} />
      </Section>
      <Section id="work" title="Work done" note={`${format.number(view.work.length)} on record`}>
        <WorkTable view={view} format={format} />
      </Section>
    </>
  );
}
