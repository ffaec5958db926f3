import type { Format } from "@/app/_parts/format";
import { costInk } from "@/app/_parts/marks/cost-ink";

/** The five steps of the cost scale with their amounts, and what the dot's size means when `sized`. */
export function CostLegend({ highest, format, note }: { highest: number; format: Format; note?: string }) {
  return (
    <div className="mt-3 flex flex-wrap items-center gap-x-4 gap-y-1 text-xs text-soft">
      <span>Expected cost</span>
      <ol className="flex">
        {[1, 2, 3, 4, 5].map((step) => (
          <li key={step} className="w-16">
            <span
              aria-hidden="true"
              className="block h-2.5 border border-soft"
              style={{ background: costInk(step), marginRight: -1 }}
            />
            <span className="block pt-0.5">{format.moneyAbout((highest * step) / 5)}</span>
          </li>
        ))}
      </ol>
      {note ? <span>{note}</span> : null}
    </div>
  );
}
