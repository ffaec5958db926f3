import { across, Label, Mark } from "@/app/_parts/marks/mark";
import { plotScaleOf } from "@/app/_parts/marks/plot-scale";

const PLOT = 120;
const TOP = 18;
const AXIS = 22;

/** One column; `value` is null where nothing was observed, `name` stands below when given. */
export type ColumnValue = { readonly key: string; readonly value: number | null; readonly name: string | null };

/** A plain row of columns from zero, such as the months of a year or the hours of a day. */
export function Columns({
  title,
  description,
  columns,
  write,
}: {
  title: string;
  description: string;
  columns: readonly ColumnValue[];
  write: (value: number) => string;
}) {
  const { y, ticks } = plotScaleOf(
    columns.map(({ value }) => value ?? 0),
    { heightPx: PLOT, tickCount: 3 },
  );
  const count = Math.max(1, columns.length);
  return (
    <Mark title={title} description={description} heightPx={TOP + PLOT + AXIS}>
      {ticks
        .filter((tick) => tick > 0)
        .map((tick) => (
          <g key={tick}>
            <line x1="0" x2="100%" y1={TOP + y(tick)} y2={TOP + y(tick)} stroke="var(--rule)" />
            <Label x="0" y={TOP + y(tick) - 4}>
              {write(tick)}
            </Label>
          </g>
        ))}
      {columns.map(({ key, value, name }, index) => (
        <g key={key}>
          {value === null ? (
            <Label x={across((index + 0.5) / count)} y={TOP + PLOT - 4} anchor="middle">
              –
            </Label>
          ) : (
            <rect
              x={across((index + 0.2) / count)}
              width={across(0.6 / count)}
              y={TOP + y(value)}
              height={PLOT - y(value)}
              fill="var(--ink)"
            />
          )}
          {name ? (
            <Label x={across((index + 0.5) / count)} y={TOP + PLOT + 17} anchor="middle">
              {name}
            </Label>
          ) : null}
        </g>
      ))}
      <line x1="0" x2="100%" y1={TOP + PLOT} y2={TOP + PLOT} stroke="var(--ink)" />
    </Mark>
  );
}
