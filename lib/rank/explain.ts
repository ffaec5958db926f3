import type { EventKind } from "@/lib/analyse/modes/cause";
import type { CostLine, Explanation, MovingFact, ProposedVisit, TaskOutcome } from "@/lib/rank/result";
import type { Settings } from "@/lib/settings/settings";

/** A fact that moves the number of events expected of a detector against the fleet's typical one. */
export type MovedEvents = { readonly kind: EventKind; readonly sentence: string; readonly events: number };

const MOST_FACTS = 3;

/**
 * Why a detector stands where it stands: the facts that move its net benefit, the tasks side by side, and how far the
 * proposed visit is from paying.
 *
 * A fact about expected events counts with the share of them that the proposed task prevents and the cost of one; the
 * charge for reaching the height counts in full.
 *
 * @param visits - a visit for each preventive task, the proposed one among them
 * @param expected - events expected without a visit by kind, for the share prevented
 */
export function explain({
  visit,
  visits,
  moved,
  expected,
  settings,
}: {
  visit: ProposedVisit;
  visits: readonly ProposedVisit[];
  moved: readonly MovedEvents[];
  expected: Readonly<Record<EventKind, number>>;
  settings: Settings;
}): Explanation {
  const prevented = {
    fault: preventedMinor(visit.avoidedLines[0], expected.fault),
    alarm: preventedMinor(visit.avoidedLines[1], expected.alarm),
  };
  const facts = [
    ...moved.map(({ kind, sentence, events }): MovingFact => ({ sentence, minor: events * prevented[kind] })),
    ...reachFact(visit.costLines),
  ];
  return {
    facts: facts
      .filter(({ minor }) => Math.abs(minor) >= 1)
      .sort((a, b) => Math.abs(b.minor) - Math.abs(a.minor))
      .slice(0, MOST_FACTS),
    tasks: visits.map((one) => outcomeOf(one, settings)).sort((a, b) => b.netBenefit - a.netBenefit),
    timesToPay: visit.avoidedCost.mean > 0 ? visit.cost / visit.avoidedCost.mean : null,
  };
}

// Money avoided for each event expected.
function preventedMinor(line: CostLine | undefined, expected: number): number {
  return line && expected > 0 ? line.minor / expected : 0;
}

function reachFact([, reach]: readonly CostLine[]): MovingFact[] {
  if (!reach || reach.minor === 0) return [];
  return [{ sentence: `reaching it takes a ${reach.label.toLowerCase()}`, minor: -reach.minor }];
}

function outcomeOf({ task, cost, avoidedCost, netBenefit, costLines }: ProposedVisit, settings: Settings): TaskOutcome {
  const shared = settings.travelPerVisit + (costLines[1]?.minor ?? 0);
  return { task, cost, avoidedCost: avoidedCost.mean, netBenefit, netOnSite: netBenefit + shared };
}
