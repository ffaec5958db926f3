import type { Metadata, Route } from "next";
import Link from "next/link";
import { z } from "zod";
import { Button } from "@/app/_parts/button";
import type { Format } from "@/app/_parts/format";
import { JobPanel } from "@/app/_parts/job-panel";
import { NoResult } from "@/app/_parts/no-result";
import { PageHeader } from "@/app/_parts/page-header";
import { Section } from "@/app/_parts/section";
import { Notice } from "@/app/_parts/states";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import type { JobState } from "@/app/_server/job-view";
import { jobs } from "@/app/_server/jobs";
import { rankPastMonths } from "@/app/_server/proof-actions";
import { currentFormat } from "@/app/_server/reader";
import { CalibrationSection } from "@/app/proof/_parts/calibration-section";
import { CaptureSection } from "@/app/proof/_parts/capture-section";
import { EffectsSection } from "@/app/proof/_parts/effects-section";
import { FollowedSection } from "@/app/proof/_parts/followed-section";
import { LimitsSection } from "@/app/proof/_parts/limits-section";
import { MonthsSection } from "@/app/proof/_parts/months-section";
import { ScoresSection } from "@/app/proof/_parts/scores-section";
import { proofTitle, Verdict } from "@/app/proof/_parts/verdict";
import { type ReadyProof, showProof } from "@/lib/services/show-proof";

export const metadata: Metadata = { title: "Proof" };

const searchSchema = z.object({
  job: z.uuid().optional().catch(undefined),
  visited: z.literal("left_out").optional().catch(undefined),
});

/** Does the ranking deserve belief? */
export default async function ProofPage({ searchParams }: PageProps<"/proof">) {
  const search = searchSchema.parse(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showProof(context));
  const current = jobs().current();
  // Whoever comes back without the address of a running job finds it here all the same.
  const job = search.job ?? (current?.kind === "backtest" ? current.id : undefined);
  if (view.state === "no_backtest") {
    if (view.sites === 0) return <NoResult sites={0} />;
    return <FirstTime job={job} busy={job !== undefined && isUnderWay(jobs().view(job)?.state)} />;
  }
  const format = await currentFormat({ currency: view.result.currency });
  return (
    <>
      {job ? <JobPanel id={job} title="Ranking past months" /> : <AgainOffer view={view} />}
      <PageHeader
        above={<Made view={view} format={format} />}
        title={proofTitle(view)}
        lead={<Verdict view={view} format={format} />}
      />
      <CaptureSection view={view} leaveOut={search.visited === "left_out"} format={format} />
      <MonthsSection view={view} format={format} />
      <CalibrationSection view={view} format={format} />
      <ScoresSection view={view} format={format} />
      <FollowedSection view={view} format={format} />
      <EffectsSection view={view} format={format} />
      <LimitsSection horizonDays={format.number(view.result.horizonDays)} />
      <Section id="again" title="Rank past months again">
        <p className="mb-4 max-w-[60ch] text-soft">
          It ranks as of the start of each of the last twelve months, which takes as long as twelve analyses, and goes
          on when this page is closed.
        </p>
        <AgainForm />
      </Section>
    </>
  );
}

function Made({ view, format }: { view: ReadyProof; format: Format }) {
  const { result, createdAt, settingsVersion } = view;
  const first = result.origins[0]?.asOf ?? result.knownUntil;
  const last = result.origins.at(-1)?.asOf ?? first;
  return (
    <>
      {format.number(result.origins.length)} rankings, as of {format.dayOf(first, "UTC")} to {format.dayOf(last, "UTC")}{" "}
      (UTC), each against the {format.number(result.horizonDays)} days after it. Computed{" "}
      {format.moment(createdAt, "UTC")} with settings version {format.number(settingsVersion)}.
    </>
  );
}

function AgainOffer({ view: { dataMoved, settingsMoved } }: { view: ReadyProof }) {
  if (!dataMoved && !settingsMoved) return null;
  const what = dataMoved && settingsMoved ? "Data and settings" : dataMoved ? "Data" : "Settings";
  return (
    <Notice>
      <p>
        {what} changed since this was computed, so it may be behind.{" "}
        <Link href={"/proof#again" satisfies Route}>Rank past months again</Link> to bring it up to date.
      </p>
    </Notice>
  );
}

function AgainForm() {
  return (
    <form action={rankPastMonths}>
      <Button type="submit">Rank past months again</Button>
    </form>
  );
}

function isUnderWay(state: JobState | undefined): boolean {
  return state === "waiting" || state === "running";
}

function FirstTime({ job, busy }: { job: string | undefined; busy: boolean }) {
  return (
    <>
      <PageHeader
        title="Does the ranking deserve belief?"
        lead={
          <>
            <p>
              Nobody should climb on a promise. This page ranks your own detectors as of the start of each of the last
              twelve months, with nothing known later, and sets each ranking beside what then happened: how much of the
              cost that followed the first detectors held, beside simple practice and perfect foresight.
            </p>
            <p className="mt-4">
              It needs a year of records before the first of these months, and the horizon after the last.
            </p>
          </>
        }
      />
      {job ? <JobPanel id={job} title="Ranking past months" /> : null}
      {busy ? null : (
        <form action={rankPastMonths}>
          <Button type="submit" look="main">
            Rank the past months
          </Button>
        </form>
      )}
    </>
  );
}
