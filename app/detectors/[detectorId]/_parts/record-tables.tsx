import type { Format } from "@/app/_parts/format";
import { EmptyState } from "@/app/_parts/states";
import { Table } from "@/app/_parts/table";
import { causeInWords, taskWords } from "@/app/_parts/words";
import { conditionWords, verdictWords } from "@/app/detectors/_parts/words";
import { MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import type { Work } from "@/lib/records/work";
import type { DetectorView } from "@/lib/services/show-detector";

/** Everything the panel reported of the detector, latest first. */
export function EventTable({ view, format }: { view: DetectorView; format: Format }) {
  if (view.events.length === 0) {
    return (
      <EmptyState title="The panel has reported nothing of it.">
        It may never have had an event, or events.csv is still to come.
      </EmptyState>
    );
  }
  return (
    <Scroll label="Panel events, latest first">
      <Table
        caption="Panel events, latest first"
        columns={[
          { key: "began", label: "Began" },
          { key: "condition", label: "Condition" },
          { key: "cause", label: "Cause or verdict" },
          { key: "lasted", label: "Lasted", align: "end" },
        ]}
        rows={view.events.map((event) => ({
          key: `${event.beganAt}-${event.condition}`,
          cells: [
            format.moment(event.beganAt, view.site.timeZone),
            conditionWords[event.condition],
            whyOf(event),
            lastedOf(event, format),
          ],
        }))}
      />
    </Scroll>
  );
}

/** Everything done at the detector, latest first. */
export function WorkTable({ view, format }: { view: DetectorView; format: Format }) {
  if (view.work.length === 0) {
    return <EmptyState title="No work is on record.">It comes in with work.csv.</EmptyState>;
  }
  return (
    <Scroll label="Work, latest first">
      <Table
        caption="Work, latest first"
        columns={[
          { key: "done", label: "Done" },
          { key: "task", label: "Task" },
          { key: "signal", label: "Signal, found to left", align: "end" },
          { key: "rest", label: "Why, who was told, notes" },
        ]}
        rows={view.work.map((work) => ({
          key: `${work.doneAt}-${work.task}`,
          cells: [
            format.moment(work.doneAt, view.site.timeZone),
            `${taskWords[work.task]}${work.result ? `, ${work.result === "pass" ? "passed" : "failed"}` : ""}`,
            signalOf(work, format),
            notesOf(work, format),
          ],
        }))}
      />
    </Scroll>
  );
}

function Scroll({ label, children }: { label: string; children: React.ReactNode }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by keyboard
    <section className="max-h-[26rem] overflow-auto pr-2" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}

function whyOf({ cause, verdict }: Event): string {
  if (verdict) return verdictWords[verdict];
  return cause ? causeInWords(cause) : "not given";
}

function lastedOf({ beganAt, endedAt }: Event, format: Format): string {
  if (endedAt === null) return "end not given";
  const minutes = (endedAt - beganAt) / MINUTE_MS;
  if (minutes < 120) return `${format.number(minutes)} min`;
  return minutes < 2880
    ? `${format.number(minutes / 60, { digits: 1 })} h`
    : `${format.number(minutes / 1440, { digits: 1 })} days`;
}

function signalOf({ signalBeforePct, signalAfterPct }: Work, format: Format): string {
  if (signalBeforePct === null && signalAfterPct === null) return "not given";
  const pct = (value: number | null) => (value === null ? "?" : format.number(value));
  return `${pct(signalBeforePct)} to ${pct(signalAfterPct)} %`;
}

function notesOf({ durationMin, reactive, told, interim, note }: Work, format: Format): string {
  const parts = [
    durationMin === null ? null : `${format.number(durationMin)} min`,
    reactive === null ? null : reactive ? "call-out" : "planned",
    told ? `told: ${told}` : null,
    interim ? `meanwhile: ${interim}` : null,
    note,
  ];
  return parts.filter((part) => part !== null && part !== "").join("; ");
}
