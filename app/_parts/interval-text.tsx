import type { Format } from "@/app/_parts/format";
import type { Estimate } from "@/lib/kernel/interval";

/** An estimate as people read it: `12.3 (9.1 to 16.0)`; `cannot say` when there is none. */
export function IntervalText({
  estimate,
  format,
  write = (value) => format.number(value, { digits: 1, fixed: true }),
}: {
  estimate: Estimate | null;
  format: Format;
  write?: (value: number) => string;
}) {
  if (estimate === null) return <span className="text-soft">cannot say</span>;
  return (
    <span className="whitespace-nowrap">
      {write(estimate.mean)} <span className="text-soft">({format.range(estimate, write)})</span>
    </span>
  );
}
