import type { Route } from "next";
import Link from "next/link";
import type { ReactNode } from "react";
import type { Format } from "@/app/_parts/format";
import { IntervalText } from "@/app/_parts/interval-text";
import { costInk, costStep } from "@/app/_parts/marks/cost-ink";
import { IntervalMark } from "@/app/_parts/marks/interval-mark";
import { type Column, Table } from "@/app/_parts/table";
import type { Estimate } from "@/lib/kernel/interval";
import type { SiteLine, SiteSort, SitesView } from "@/lib/services/show-sites";

/** The league table of sites; its headings sort it by their address. */
export function SiteTable({
  view,
  sort,
  direction,
  format,
  href,
}: {
  view: SitesView;
  sort: SiteSort;
  direction: "asc" | "desc";
  format: Format;
  href: (to: { sort: SiteSort; direction: "asc" | "desc" }) => Route;
}) {
  const column = (key: SiteSort, label: string, { note, align }: Pick<Column, "note" | "align"> = {}): Column => {
    const first = key === "name" ? "asc" : "desc";
    const next = sort === key ? (direction === "asc" ? "desc" : "asc") : first;
    return {
      key,
      label,
      ...(note === undefined ? {} : { note }),
      ...(align === undefined ? {} : { align }),
      sort: {
        href: href({ sort: key, direction: next }),
        direction: sort === key ? (direction === "asc" ? "ascending" : "descending") : null,
      },
    };
  };
  return (
    <Table
      caption="Sites with their rates, tests and money"
      columns={[
        column("name", "Site"),
        column("detectors", "Detectors", { align: "end" }),
        column("faultRate", "Faults", { note: "per 100 detectors a year" }),
        column("falseAlarmRate", "False alarms", { note: "per 100 detectors a year" }),
        column("testsOverdue", "Tests overdue", { align: "end" }),
        column("completeness", "Observed", { note: "of 12 months", align: "end" }),
        column("expectedCost", "Expected cost", { note: `next ${view.run.horizonDays} days`, align: "end" }),
        column("netBenefit", "Worth visiting", { note: "net benefit", align: "end" }),
      ]}
      rows={view.lines.map((line) => ({ key: line.siteId, cells: cellsOf(line, { view, format }) }))}
    />
  );
}

function cellsOf(line: SiteLine, { view, format }: { view: SitesView; format: Format }): ReactNode[] {
  return [
    <span key="name" className="block md:min-w-[11rem]">
      <Link href={`/sites/${encodeURIComponent(line.siteId)}`}>{line.name}</Link>
      <span className="block text-xs font-normal text-soft">
        {line.siteId}
        {line.limitsMet > 0
          ? `, ${line.limitsMet} false-alarm ${line.limitsMet === 1 ? "limit" : "limits"} reached`
          : ""}
        {line.dataTrouble.length > 0 ? (
          <Link className="block" href={`/sites/${encodeURIComponent(line.siteId)}#quality`}>
            Data: {line.dataTrouble.join(", ")}
          </Link>
        ) : null}
      </span>
    </span>,
    format.number(line.detectors),
    <Rate key="faults" rate={line.faultRate} scaleTo={view.highest.faultRate} format={format} />,
    <Rate key="alarms" rate={line.falseAlarmRate} scaleTo={view.highest.falseAlarmRate} format={format} />,
    line.testsOverdue > 0 ? <strong key="tests">{format.number(line.testsOverdue)}</strong> : "0",
    line.completeness === null ? "cannot say" : format.share(line.completeness),
    <Cost key="cost" cost={line.expectedCost} highest={view.highest.expectedCost} format={format} />,
    <span key="net">
      {format.money(line.netBenefit)}
      <span className="block text-xs text-soft">
        {format.number(line.worthwhileVisits)} {line.worthwhileVisits === 1 ? "visit" : "visits"}
      </span>
    </span>,
  ];
}

function Rate({ rate, scaleTo, format }: { rate: Estimate | null; scaleTo: number; format: Format }) {
  return (
    <span className="block w-44 md:w-auto md:min-w-[8.5rem]">
      <IntervalText estimate={rate} format={format} />
      {rate ? <IntervalMark {...rate} scaleTo={scaleTo} /> : null}
    </span>
  );
}

function Cost({ cost, highest, format }: { cost: Estimate; highest: number; format: Format }) {
  return (
    <span>
      <span className="inline-flex items-baseline gap-2">
        <span
          aria-hidden="true"
          className="inline-block size-3 border border-soft"
          style={{ background: costInk(costStep(cost.mean, highest)) }}
        />
        {format.moneyAbout(cost.mean)}
      </span>
      <span className="block text-xs whitespace-nowrap text-soft">{format.range(cost, format.moneyAbout)}</span>
    </span>
  );
}
