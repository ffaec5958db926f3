import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import { counted, taskWords } from "@/app/_parts/words";
import { explanationSentences } from "@/lib/services/explanation-sentences";
import type { DetectorRowView } from "@/lib/services/show-detectors";
import type { RunInView } from "@/lib/services/stored-result";

/** Why a detector stands where it stands: its money, what moves it, why not (or why) a visit, the tasks side by side. */
export function ExplanationSection({ row, run, format }: { row: DetectorRowView; run: RunInView; format: Format }) {
  const { result, benefit } = row;
  const { facts, tasks } = result.explanation;
  const sentences = [...explanationSentences(row, { run, money: format.money }), ...doubts({ row, benefit })];
  return (
    <>
      <div className="max-w-[66ch] space-y-2 text-pretty">
        {sentences.map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
      </div>
      <div className="mt-6 grid gap-x-10 gap-y-8 lg:grid-cols-2">
        <section aria-label="What moves it most" className="text-sm">
          <h3 className="border-b border-ink pb-1 text-base font-semibold">What moves it most</h3>
          {facts.length === 0 ? (
            <p className="py-1.5 text-soft">Nothing sets it apart from the fleet’s typical detector.</p>
          ) : (
            <dl>
              {facts.map(({ sentence, minor }) => (
                <div key={sentence} className="flex items-baseline justify-between gap-3 border-b border-rule py-1.5">
                  <dt>{sentence}</dt>
                  <dd className="text-right whitespace-nowrap">{signed(minor, format)}</dd>
                </div>
              ))}
            </dl>
          )}
          <p className="mt-2 text-soft">
            Effect on the net benefit against a detector that is the fleet’s typical one in that respect.
          </p>
        </section>
        <section aria-label="The tasks side by side">
          <Table
            caption="What each task would cost and bring"
            columns={[
              { key: "task", label: "Task" },
              { key: "cost", label: "Cost", align: "end" },
              { key: "avoided", label: "Avoids", align: "end" },
              { key: "net", label: "Net alone", align: "end" },
              { key: "onSite", label: "Net when up there anyway", align: "end" },
            ]}
            rows={tasks.map(({ task, cost, avoidedCost, netBenefit, netOnSite }) => ({
              key: task,
              cells: [
                taskWords[task],
                ...[cost, avoidedCost, netBenefit, netOnSite].map((minor) => format.money(minor)),
              ],
            }))}
          />
        </section>
      </div>
    </>
  );
}

function doubts({ row, benefit }: { row: DetectorRowView; benefit: DetectorRowView["benefit"] }): string[] {
  const { findings, record } = row.result;
  const sentences: string[] = [];
  if (benefit.low < 0 && benefit.high > 0) {
    sentences.push("The interval of the net benefit holds both gain and loss, so its place is not certain.");
  }
  if (findings.length === 0) {
    sentences.push(
      "Nothing was found at the fleet-wide limit: what is expected rests on its own record and the fleet’s.",
    );
  }
  const overdue = record.testOverdueDays ?? 0;
  if (overdue > 0) {
    sentences.push(`Its functional test is overdue by ${counted(overdue, "day")} and is due whatever its rank.`);
  }
  return sentences;
}

function signed(minor: number, format: Format): string {
  return minor < 0 ? `−${format.money(-minor)}` : `+${format.money(minor)}`;
}
