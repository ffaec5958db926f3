import { entryTime, type RiskTable, type Spell, type StepFunction } from "@/lib/statistics/survival";

/**
 * Nelson-Aalen hazard of everyone but one unit, from the risk table of all and the unit's own spells.
 *
 * The same as `nelsonAalen` of the others, without sorting them again for each unit.
 *
 * @param everyone - `riskTable` of all spells, the unit's own among them
 * @param own - the unit's spells
 * @returns steps at the event times of the others; empty when they have none
 * @throws RangeError for an impossible spell, or one that the table does not hold
 * Cost: O(event times x own spells).
 */
export function hazardWithout(everyone: RiskTable, own: readonly Spell[]): StepFunction {
  const spells = own.map((spell) => ({ entry: entryTime(spell), stop: spell.stop, event: spell.event }));
  const time: number[] = [];
  const value: number[] = [];
  let sum = 0;
  for (const [i, at] of everyone.time.entries()) {
    let events = everyone.events[i] ?? 0;
    let atRisk = everyone.atRisk[i] ?? 0;
    for (const { entry, stop, event } of spells) {
      if (entry < at && at <= stop) atRisk--;
      if (event && stop === at) events--;
    }
    if (events < 0 || atRisk < events) throw new RangeError(`the table does not hold the unit's spell ending ${at}`);
    if (events === 0) continue;
    sum += events / atRisk;
    time.push(at);
    value.push(sum);
  }
  return { time, value };
}
