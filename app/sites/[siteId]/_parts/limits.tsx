import type { Format } from "@/app/_parts/format";
import type { LimitCheck } from "@/lib/rank/result";

/** The false-alarm limits of the standard: what was observed, whether it is met, and how easily luck alone meets it. */
export function Limits({ limits, format }: { limits: readonly LimitCheck[]; format: Format }) {
  if (limits.length === 0) return <p className="font-serif">No limit can be judged here.</p>;
  return (
    <ul>
      {limits.map((limit) => (
        <li
          key={limit.rule}
          className="grid gap-x-8 gap-y-1 border-t border-rule py-3 first:border-t-0 first:pt-0 md:grid-cols-[minmax(0,1fr)_minmax(0,1fr)]"
        >
          <p className="font-serif text-pretty">{limit.rule}</p>
          <div className="text-sm">
            <p className={limit.met ? "text-worse" : "text-good"}>
              <span aria-hidden="true">{limit.met ? "▲" : "▼"} </span>
              <strong>{limit.met ? "Reached" : "Not reached"}</strong>
            </p>
            <p>
              {limit.observed} <span className="text-soft">against {limit.threshold}</span>
            </p>
            <p className="text-soft">{chanceWords(limit.chance, format)}</p>
          </div>
        </li>
      ))}
    </ul>
  );
}

function chanceWords(chance: number | null, format: Format): string {
  if (chance === null) return "The chance of reaching it by luck cannot be said.";
  if (chance < 0.001) return "A site at the achievable rate reaches it by luck less than once in a thousand years.";
  return `A site at the achievable rate reaches it by luck in ${format.share(chance, { digits: 1 })} of years.`;
}
