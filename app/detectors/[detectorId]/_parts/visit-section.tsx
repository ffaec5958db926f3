import type { ReactNode } from "react";
import type { Format } from "@/app/_parts/format";
import { accessWords, taskWords } from "@/app/_parts/words";
import type { CostLine } from "@/lib/rank/result";
import type { DetectorRowView } from "@/lib/services/show-detectors";

/** The visit proposed: what it costs and avoids line by line, and what is expected without it. */
export function VisitSection({
  row,
  horizonDays,
  format,
}: {
  row: DetectorRowView;
  horizonDays: number;
  format: Format;
}) {
  const { visit, expected, expectedCost } = row.result;
  return (
    <>
      <p className="max-w-[52ch] font-serif text-xl leading-8 text-pretty">{visit.reason}</p>
      <div className="mt-6 grid gap-x-10 gap-y-8 md:grid-cols-2 xl:grid-cols-3">
        <Account title={`${taskWords[visit.task]}, visited alone`} total={format.money(visit.cost)} totalLabel="Cost">
          <Lines lines={visit.costLines} format={format} />
        </Account>
        <Account
          title={`Avoided in ${horizonDays} days`}
          total={format.money(visit.avoidedCost.mean)}
          totalLabel="Avoided"
          note={format.range(visit.avoidedCost, format.money)}
        >
          <Lines lines={visit.avoidedLines} format={format} />
        </Account>
        <Account
          title="Worth it?"
          total={format.money(row.benefit.mean)}
          totalLabel="Net benefit"
          note={format.range(row.benefit, format.money)}
        >
          <AccountLine label="Faults expected" value={countRange(expected.faults, format)} />
          <AccountLine label="Unwanted alarms expected" value={countRange(expected.unwantedAlarms, format)} />
          <AccountLine
            label="Cost without a visit"
            value={`${format.money(expectedCost.mean)} (${format.range(expectedCost, format.money)})`}
          />
        </Account>
      </div>
      <Cautions access={accessWords[row.access]} heightM={format.number(row.heightM, { digits: 1 })} />
    </>
  );
}

function Account({
  title,
  total,
  totalLabel,
  note,
  children,
}: {
  title: string;
  total: string;
  totalLabel: string;
  note?: string;
  children: ReactNode;
}) {
  return (
    <section aria-label={title} className="text-sm">
      <h3 className="border-b border-ink pb-1 text-base font-semibold">{title}</h3>
      <dl>
        {children}
        <div className="flex items-baseline justify-between gap-3 border-t border-ink pt-1.5 font-semibold">
          <dt>{totalLabel}</dt>
          <dd>{total}</dd>
        </div>
      </dl>
      {note ? <p className="text-right text-soft">{note}</p> : null}
    </section>
  );
}

function Lines({ lines, format }: { lines: readonly CostLine[]; format: Format }) {
  return lines.map(({ label, minor }) => <AccountLine key={label} label={label} value={format.money(minor)} />);
}

function AccountLine({ label, value }: { label: string; value: string }) {
  return (
    <div className="flex items-baseline justify-between gap-3 py-1.5">
      <dt className="text-soft">{label}</dt>
      <dd className="text-right">{value}</dd>
    </div>
  );
}

function Cautions({ access, heightM }: { access: string; heightM: string }) {
  const ladder = access === "ladder";
  return (
    <aside aria-label="Cautions" className="mt-8 max-w-[70ch] border-l-2 border-cost-3 py-1 pl-5 text-sm">
      <p className="font-semibold">Before anyone goes up</p>
      <ul className="mt-1 list-disc space-y-1 pl-5 text-pretty">
        <li>
          The system is live. Agree the disablement, tell the monitoring centre, the occupier and, where required, the
          insurer, and keep a fire watch where local code says so. Put everything back and prove it before you leave.
        </li>
        <li>
          The beam is {heightM} m up, reached by {access}.{" "}
          {ladder
            ? "A ladder is for short, light work with three points of contact, footed or tied, never alone; otherwise take a tower or a lift."
            : "Only trained people use it, on ground that was checked, with the area below kept clear."}
        </li>
        <li>Local codes, the standard in force and a licensed fire alarm engineer decide; this proposal does not.</li>
      </ul>
    </aside>
  );
}

function countRange(estimate: { mean: number; low: number; high: number }, format: Format): string {
  const number = (value: number) => format.number(value, { digits: 1 });
  return `${number(estimate.mean)} (${format.range(estimate, number)})`;
}
