import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { IntervalText } from "@/app/_parts/interval-text";
import { Section } from "@/app/_parts/section";
import { Table } from "@/app/_parts/table";
import { taskWords } from "@/app/_parts/words";
import type { EffectLine } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

const SHOWN = 10;

/** What past visits showed of each task, and what the ranking makes of it; those that rest on most events first. */
export function EffectsSection({ view, format }: { view: ReadyProof; format: Format }) {
  const lines = [...view.result.effects].sort((a, b) => b.expected - a.expected);
  return (
    <Section
      id="effects"
      title="How visit effects were learned"
      note="From your own work records up to the last of these months: events after visits against those expected without, corrected for visits that follow bad months. Where visits are few, the stated share stands."
    >
      {lines.length === 0 ? (
        <p className="max-w-[60ch]">No visit of the records says anything yet, so the stated shares stand.</p>
      ) : (
        <EffectTable caption="Learned effects of visits" lines={lines.slice(0, SHOWN)} format={format} />
      )}
      {lines.length > SHOWN ? (
        <DataBehind summary={`All ${format.number(lines.length)} effects`}>
          <EffectTable caption="All learned effects of visits" lines={lines} stacks={false} format={format} />
        </DataBehind>
      ) : null}
    </Section>
  );
}

function EffectTable({
  caption,
  lines,
  stacks = true,
  format,
}: {
  caption: string;
  lines: readonly EffectLine[];
  stacks?: boolean;
  format: Format;
}) {
  const share = (value: number) => format.share(value);
  return (
    <Table
      caption={caption}
      stacks={stacks}
      columns={[
        { key: "task", label: "Task" },
        { key: "about", label: "Against" },
        { key: "visits", label: "Visits", align: "end" },
        { key: "expected", label: "Expected", note: "without the visit", align: "end" },
        { key: "observed", label: "Came", align: "end" },
        { key: "prevented", label: "Prevents", note: "90 % interval", align: "end" },
        { key: "prior", label: "Stated", note: "before any record", align: "end" },
      ]}
      rows={lines.map((line) => ({
        key: `${line.task} ${line.about}`,
        cells: [
          taskName(line),
          line.about,
          format.number(line.visits),
          format.number(line.expected, { digits: 1, fixed: true }),
          format.number(line.observed, { digits: 1 }),
          <IntervalText key="prevented" estimate={line.prevented} format={format} write={share} />,
          share(line.prior),
        ],
      }))}
    />
  );
}

function taskName({ task }: EffectLine): string {
  return Object.entries(taskWords).find(([key]) => key === task)?.[1] ?? task;
}
