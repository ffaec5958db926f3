import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { IntervalText } from "@/app/_parts/interval-text";
import { Section } from "@/app/_parts/section";
import { Table } from "@/app/_parts/table";
import { CalibrationPlot } from "@/app/proof/_parts/calibration-plot";
import { kinds, kindTitles } from "@/app/proof/_parts/kinds";
import type { Calibration } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

/** Whether as much came as was predicted, over all and by tenths of what was expected. */
export function CalibrationSection({ view, format }: { view: ReadyProof; format: Format }) {
  return (
    <Section
      id="calibration"
      title="Did as much come as was predicted?"
      note={
        <p>
          All forecasts in ten equal groups, from the detectors least expected to fail to those most. On the line, as
          much came as was predicted; bars are 90 % intervals that allow for overlapping horizons and for detectors that
          differ from chance.
        </p>
      }
    >
      <div className="grid gap-10 lg:grid-cols-2">
        {kinds.map((kind) => (
          <figure key={kind} className="min-w-0">
            <h3 className="mb-2 font-serif text-lg">{kindTitles[kind]}</h3>
            <p className="mb-4 max-w-[52ch]">{overallWords(view.result.calibration[kind], format)}</p>
            <CalibrationPlot
              title={`${kindTitles[kind]}: predicted and come, by tenths`}
              calibration={view.result.calibration[kind]}
              format={format}
            />
            <DataBehind summary={`${kindTitles[kind]} by tenths, the numbers`}>
              <GroupTable name={kindTitles[kind]} calibration={view.result.calibration[kind]} format={format} />
            </DataBehind>
          </figure>
        ))}
      </div>
    </Section>
  );
}

function overallWords({ overall: { predicted, realised, ratio } }: Calibration, format: Format): string {
  const times = (value: number) => format.number(value, { digits: 2, fixed: true });
  const sums = `${format.number(predicted)} predicted over all horizons, ${format.number(realised)} came`;
  if (ratio === null) return `${sums}.`;
  const verdict =
    ratio.low > 1
      ? "more than predicted"
      : ratio.high < 1
        ? "fewer than predicted"
        : "as many as predicted, within chance";
  return `${sums}: ${times(ratio.mean)} times (${format.range(ratio, times)}), ${verdict}.`;
}

function GroupTable({ name, calibration, format }: { name: string; calibration: Calibration; format: Format }) {
  const times = (value: number) => format.number(value, { digits: 2, fixed: true });
  return (
    <Table
      caption={`${name} predicted and come, by tenths of what was expected`}
      stacks={false}
      columns={[
        { key: "group", label: "Tenth" },
        { key: "forecasts", label: "Forecasts", align: "end" },
        { key: "predicted", label: "Predicted", align: "end" },
        { key: "came", label: "Came", align: "end" },
        { key: "ratio", label: "Came over predicted", align: "end" },
      ]}
      rows={[...calibration.groups, calibration.overall].map((group) => ({
        key: String(group.group),
        cells: [
          group.group === 0 ? "All" : format.number(group.group),
          format.number(group.forecasts),
          format.number(group.predicted, { digits: 1, fixed: true }),
          format.number(group.realised),
          <IntervalText key="ratio" estimate={group.ratio} format={format} write={times} />,
        ],
      }))}
    />
  );
}
