import type { ReactNode } from "react";

/** A number that answers 'compared with what?': its value, interval, comparison and the line it came along. */
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
    <div className="flex min-w-0 flex-col border-t border-ink pt-3">
      <h3 className="text-sm text-soft">{label}</h3>
      <p className="mt-1 flex flex-wrap items-baseline gap-x-2">
        <span className="font-serif text-3xl font-semibold tracking-[-0.01em]">{value}</span>
        {unit ? <span className="text-sm text-soft">{unit}</span> : null}
      </p>
      {interval ? <p className="text-sm text-soft">{interval}</p> : null}
      {children ? <div className="mt-3">{children}</div> : null}
      <div className="mt-2 text-sm text-pretty">{comparison}</div>
    </div>
  );
}
