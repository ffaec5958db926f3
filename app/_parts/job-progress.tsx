"use client";

import { useRouter } from "next/navigation";
import { useEffect, useState } from "react";
import { BeamProgress } from "@/app/_parts/beam-progress";
import { sizeText } from "@/app/_parts/size-text";
import type { JobState, JobView } from "@/app/_server/job-view";

const POLL_MS = 1000;
const ended: readonly JobState[] = ["done", "failed"];

/** How a job stands, asked anew every second; when it ends the page is drawn again with what came of it. */
export function JobProgress({ initial }: { initial: JobView }) {
  const router = useRouter();
  const [job, setJob] = useState(initial);
  const [lost, setLost] = useState(false);

  useEffect(() => {
    if (ended.includes(initial.state)) return;
    const timer = setInterval(async () => {
      try {
        const answer = await fetch(`/jobs/${initial.id}`);
        if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
        const next: JobView = await answer.json();
        setLost(false);
        setJob(next);
        if (ended.includes(next.state)) {
          clearInterval(timer);
          router.refresh();
        }
      } catch {
        setLost(true);
      }
    }, POLL_MS);
    return () => clearInterval(timer);
  }, [initial.id, initial.state, router]);

  return (
    <div className="max-w-[46rem] space-y-4">
      <Steps job={job} />
      <p role="status" className="font-serif text-lg">
        {sentenceOf(job)}
      </p>
      {job.state === "running" ? (
        <>
          <BeamProgress label={sentenceOf(job)} done={job.progress?.done ?? 0} total={job.progress?.total ?? null} />
          <p className="text-sm text-soft">
            {job.progress ? progressText(job.progress, job.step) : "Beginning"}. You may close this page: the work goes
            on, and this address shows it again.
          </p>
        </>
      ) : null}
      {lost ? <p role="alert">The server does not answer just now. This page keeps asking.</p> : null}
    </div>
  );
}

/** Where a job stands, in a sentence. */
export function sentenceOf(job: JobView): string {
  if (job.state === "uploading") return "The files are still being sent.";
  if (job.state === "waiting")
    return job.before === 1 ? "Waiting for one job before it." : `Waiting for ${job.before} jobs.`;
  if (job.state === "running") return runningWords[job.step ?? job.kind];
  if (job.state === "failed") return "This did not succeed.";
  if (job.kind === "backtest")
    return job.analysed
      ? "The past months are ranked again and set beside what followed."
      : `No past month was ranked: ${job.message ?? "no reason is known"}.`;
  if (job.kind === "analyse")
    return job.analysed
      ? "Everything is analysed anew."
      : `Nothing was analysed: ${job.message ?? "no reason is known"}.`;
  if (job.analysed) return "The files are in, and everything is analysed anew.";
  return job.message ? `The files are in. They are not analysed yet: ${job.message}.` : "Nothing new came in.";
}

const runningWords = {
  import: "Taking the files in.",
  analyse: "Analysing every detector.",
  backtest: "Ranking past months as they were known then.",
} as const;

function progressText({ text, done, total }: NonNullable<JobView["progress"]>, step: JobView["step"]): string {
  // An import counts bytes, an analysis detectors.
  const write = step === "import" ? sizeText : (number: number) => number.toLocaleString("en");
  const amount = total === null ? write(done) : `${write(done)} of ${write(total)}`;
  return step === "import" ? `${text}: ${amount}` : `${amount} ${text}`;
}

function Steps({ job }: { job: JobView }) {
  const steps = job.kind === "import" ? (["send", "import", "analyse"] as const) : ([job.kind] as const);
  if (steps.length === 1) return null;
  const current = ended.includes(job.state) ? steps.length : job.step === "analyse" ? 2 : job.step === "import" ? 1 : 0;
  return (
    <ol aria-label="Steps" className="flex flex-wrap gap-x-8 gap-y-1 text-sm">
      {steps.map((step, index) => (
        <li
          key={step}
          aria-current={index === current ? "step" : undefined}
          className="border-t-2 border-rule pt-1 text-soft aria-[current]:border-accent aria-[current]:text-ink"
        >
          {labels[step]}
          <span className="text-soft">
            {" "}
            {index < current ? `(${step === "analyse" && !job.analysed ? "not yet" : "done"})` : ""}
          </span>
        </li>
      ))}
    </ol>
  );
}

const labels = { send: "Sent", import: "Taken in", analyse: "Analysed", backtest: "Ranked again" } as const;
