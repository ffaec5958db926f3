import Link from "next/link";
import type { Format } from "@/app/_parts/format";
import { Notice } from "@/app/_parts/states";
import { DAY_MS } from "@/lib/kernel/units";
import type { RunView } from "@/lib/services/run-view";

/** Which analysis a page comes from. */
export function RunNote({ run, format }: { run: RunView; format: Format }) {
  return (
    <>
      As of {asOfWords(run.asOf, format)}, for the {format.number(run.horizonDays)} days after. Analysed{" "}
      {format.moment(run.createdAt, "UTC")} with settings version {format.number(run.settingsVersion)}.
    </>
  );
}

/** Said when data or settings moved since the analysis in view. */
export function StaleNote({ run }: { run: RunView }) {
  if (!run.dataMoved && !run.settingsMoved) return null;
  const what = run.dataMoved && run.settingsMoved ? "Data and settings" : run.dataMoved ? "Data" : "Settings";
  return (
    <Notice>
      <p>
        {what} changed since this was computed, so it may be behind. <Link href="/imports">Analyse again</Link> to bring
        it up to date.
      </p>
    </Notice>
  );
}

/** An as-of moment: the end of a day where it is one, else the moment itself; in UTC, as a fleet has no zone of its own. */
export function asOfWords(asOf: number, format: Format): string {
  if (asOf % DAY_MS === 0) return `the end of ${format.dayOf(asOf - 1, "UTC")} (UTC)`;
  return format.moment(asOf, "UTC");
}
