import Link from "next/link";
import { detectorsSearch } from "@/lib/services/detectors-query";
import type { DetectorsQuery } from "@/lib/services/show-detectors";

/** What the list can be ordered by, and which way is the one people mean first. */
const orders = [
  { sort: "rank", first: "asc", label: "best visit" },
  { sort: "expectedCost", first: "desc", label: "expected cost" },
  { sort: "faults12m", first: "desc", label: "faults" },
  { sort: "alarms12m", first: "desc", label: "unwanted alarms" },
  { sort: "latestSignalPct", first: "asc", label: "signal" },
  { sort: "testOverdueDays", first: "desc", label: "test overdue" },
  { sort: "detectorId", first: "asc", label: "id" },
] as const;

const arrows = { asc: "↑", desc: "↓" } as const;
const directionWords = { asc: "lowest first", desc: "highest first" } as const;

/** Links that order the list; the chosen one turns it round. */
export function OrderLinks({ query }: { query: DetectorsQuery }) {
  const chosen = query.sort ?? "rank";
  return (
    <nav aria-label="Order of the list" className="text-sm">
      <ul className="flex flex-wrap gap-x-4 gap-y-1">
        <li className="text-soft" aria-hidden="true">
          In order of
        </li>
        {orders.map(({ sort, first, label }) => {
          const current = sort === chosen;
          const now = query.direction ?? first;
          const direction = current ? (now === "asc" ? "desc" : "asc") : first;
          return (
            <li key={sort}>
              <Link
                href={`/detectors${detectorsSearch({ ...query, sort, direction, page: 1 })}`}
                aria-current={current ? "true" : undefined}
                className="aria-[current]:font-semibold aria-[current]:text-ink"
              >
                {label}
                {current ? (
                  <>
                    <span aria-hidden="true"> {arrows[now]}</span>
                    <span className="sr-only">, {directionWords[now]}; turn round</span>
                  </>
                ) : null}
              </Link>
            </li>
          );
        })}
      </ul>
    </nav>
  );
}
