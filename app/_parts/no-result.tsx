import Link from "next/link";
import { buttonLook } from "@/app/_parts/button";
import { PageHeader } from "@/app/_parts/page-header";

const files = [
  ["sites.csv", "where the buildings stand, and in which time zone"],
  ["detectors.csv", "each beam: its length, height, bearing and how it is reached"],
  ["readings.csv", "signal, and compensation and temperature where they are known"],
  ["events.csv", "fire, fault, disablement and test conditions of the panels"],
  ["work.csv", "what was cleaned, realigned, tested and repaired, and when"],
] as const;

/** Shown while there is nothing to show: how to begin with five files, or with the example. */
export function NoResult({ sites }: { sites: number }) {
  if (sites > 0) {
    return (
      <PageHeader
        title="The data are in; the analysis is not made yet"
        lead={
          <>
            <p>
              The store holds {sites === 1 ? "one site" : `${sites} sites`}. Analyse them to see which detectors deserve
              a visit.
            </p>
            <p className="mt-6 font-sans text-base">
              <Link href="/imports" className={buttonLook.main}>
                Go to imports and analyse
              </Link>
            </p>
          </>
        }
      />
    );
  }
  return (
    <>
      <PageHeader
        title="Nothing is known yet of any beam"
        lead={
          <p>
            Rafterline reads what your sites already produce. Give it five files in any order, and it says which
            detectors get worse, why, what waiting costs and which visits are worth their price.
          </p>
        }
      />
      <EmptyBeams />
      <p className="my-8 flex flex-wrap items-center gap-x-6 gap-y-3">
        <Link href="/imports" className={buttonLook.main}>
          Import the five files
        </Link>
        <span className="text-soft">
          or see an invented portfolio first: <code className="text-ink">npm run demo</code>
        </span>
      </p>
    </>
  );
}

/** The five files, each as a beam that waits for its light. */
function EmptyBeams() {
  return (
    <ol className="max-w-[56rem] border-t border-rule">
      {files.map(([file, what]) => (
        <li
          key={file}
          className="grid items-center gap-x-6 gap-y-1 border-b border-rule py-3 sm:grid-cols-[10rem_9rem_1fr]"
        >
          <span className="font-semibold">{file}</span>
          <svg width="100%" height="12" aria-hidden="true" className="hidden overflow-visible sm:block">
            <rect x="0" y="1" width="10" height="10" fill="var(--ink)" />
            <line x1="14" x2="100%" y1="6" y2="6" stroke="var(--faint)" strokeWidth="2" strokeDasharray="1 7" />
            <svg x="100%" y="0" overflow="visible" aria-hidden="true">
              <rect
                x="-9.25"
                y="1.75"
                width="8.5"
                height="8.5"
                fill="var(--paper)"
                stroke="var(--ink)"
                strokeWidth="1.5"
              />
            </svg>
          </svg>
          <span className="text-soft">{what}</span>
        </li>
      ))}
    </ol>
  );
}
