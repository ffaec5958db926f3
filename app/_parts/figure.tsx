import type { ReactNode } from "react";

/** A number that answers 'compared with what?': its value, interval, comparison and the line it came along; stands in a {@link FigureRow}. */
export function Figure({
  label,
  value,
  unit,
  interval,
  comparison,
  children,
}: {
  label: string;
  value: ReactNode;
  unit?: string;
  interval?: ReactNode;
  comparison: ReactNode;
  children?: ReactNode;
}) {
  return (
    <div className="row-span-5 grid min-w-0 grid-rows-subgrid content-start gap-y-0 border-t border-ink pt-3">
      <h3 className="text-sm text-soft">{label}</h3>
      <p className="mt-1 flex flex-wrap items-baseline gap-x-2">
        <span className="font-serif text-3xl font-semibold tracking-[-0.01em]">{value}</span>
        {unit ? <span className="text-sm text-soft">{unit}</span> : null}
      </p>
      <p className="text-sm text-soft">{interval}</p>
      <div className="mt-3">{children}</div>
      <div className="mt-2 text-sm text-pretty">{comparison}</div>
    </div>
  );
}

/** A row of figures whose parts stand level with each other. */
export function FigureRow({ children }: { children: ReactNode }) {
  return <div className="grid gap-x-8 sm:grid-cols-2 xl:grid-cols-4 [&>*]:mb-8 xl:[&>*]:mb-0">{children}</div>;
}
