import type { RunInView } from "@/lib/services/stored-result";

/** Which run a screen comes from, and whether it is behind the data or the settings. */
export type RunView = Omit<RunInView, "id" | "fleet">;

/** What a screen says of the run it comes from. */
export function runViewOf({ id: _id, fleet: _fleet, ...run }: RunInView): RunView {
  return run;
}
