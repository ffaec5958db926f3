import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { across } from "@/app/_parts/marks/mark";
import { Section } from "@/app/_parts/section";
import { MonthsTable } from "@/app/proof/_parts/months-table";
import type { CaptureMethod, OriginResult } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

/** Share of detectors the months are compared at; one of those the backtest asks at. */
const SHARE = 0.05;

/** Every past ranking beside counting faults and perfect foresight, one line a month, and all its numbers as a table. */
export function MonthsSection({ view, format }: { view: ReadyProof; format: Format }) {
  const { origins, horizonDays } = view.result;
  const place = view.shares.indexOf(SHARE);
  return (
    <Section
      id="by-month"
      title="Month by month"
      note={`Ranked at the start of each month (UTC): the part of the cost of the ${format.number(horizonDays)} days after it at the first ${format.share(SHARE)} of detectors, from nothing at the left to all of it at the right. Each horizon overlaps the next.`}
    >
      <figure>
        <Legend />
        <ol className="max-w-[62rem] border-t border-rule">
          {origins.map((origin) => (
            <MonthLine key={origin.asOf} origin={origin} place={place} format={format} />
          ))}
        </ol>
        <DataBehind summary="The months in numbers, with what was predicted and what came">
          <MonthsTable origins={origins} place={place} format={format} />
        </DataBehind>
      </figure>
    </Section>
  );
}

function MonthLine({ origin, place, format }: { origin: OriginResult; place: number; format: Format }) {
  const heldBy = (method: CaptureMethod) => origin.held[method][place] ?? null;
  const [ours, faults, perfect] = [heldBy("avoided_cost"), heldBy("faults_12m"), heldBy("perfect")];
  return (
    <li className="grid grid-cols-[5.5rem_1fr_4rem] items-center gap-x-3 border-b border-rule py-2 sm:grid-cols-[8rem_1fr_5rem]">
      <span>{format.month(new Date(origin.asOf).toISOString().slice(0, 7), { short: true })}</span>
      <svg width="100%" height="16" aria-hidden="true" focusable="false" className="block overflow-visible">
        <line x1="0" x2="100%" y1="8" y2="8" stroke="var(--rule)" />
        {faults === null ? null : (
          <circle cx={across(faults)} cy="8" r="4.5" fill="var(--paper)" stroke="var(--ink)" strokeWidth="2" />
        )}
        {perfect === null ? null : (
          <svg x={across(perfect)} y="8" overflow="visible" aria-hidden="true">
            <Square />
          </svg>
        )}
        {ours === null ? null : <circle cx={across(ours)} cy="8" r="5.5" fill="var(--accent)" />}
      </svg>
      <span className="text-end">
        {ours === null ? <span className="text-soft">no cost</span> : format.share(ours)}
        {faults === null || perfect === null ? null : (
          <span className="sr-only">
            {" "}
            held; most faults in 12 months {format.share(faults)}, perfect foresight {format.share(perfect)}
          </span>
        )}
      </span>
    </li>
  );
}

function Legend() {
  return (
    <ul className="mb-4 flex flex-wrap gap-x-6 gap-y-1 text-sm" aria-label="Marks of the months">
      <li className="inline-flex items-center gap-2">
        <svg width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
          <circle r="5.5" fill="var(--accent)" />
        </svg>
        this ranking, by avoided cost, and in figures
      </li>
      <li className="inline-flex items-center gap-2">
        <svg width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
          <circle r="4.5" fill="var(--paper)" stroke="var(--ink)" strokeWidth="2" />
        </svg>
        most faults in 12 months
      </li>
      <li className="inline-flex items-center gap-2">
        <svg width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
          <Square />
        </svg>
        perfect foresight
      </li>
    </ul>
  );
}

function Square() {
  return <rect x="-4.5" y="-4.5" width="9" height="9" fill="var(--paper)" stroke="var(--ink)" strokeWidth="2" />;
}
