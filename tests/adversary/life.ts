import type { Chance } from "@/lib/kernel/chance";
import type { PreventiveTask } from "@/lib/rank/effects";
import { between, pick, pickIndex, poisson } from "@/tests/adversary/dice";
import { M, mechanisms, usualTask } from "@/tests/adversary/mechanism";
import { advance, applyTask, type Setting, type State } from "@/tests/adversary/state";
import type { Traits } from "@/tests/adversary/traits";

/** A call-out that is on its way: the day it comes and what it was called for. */
export type CallOut = { dueDay: number; mechanism: number };

/** A detector alive: its state, what it is, and the call-out under way. */
export type Life = { readonly state: State; readonly traits: Traits; callOut: CallOut | null };

/** Told of what happens to a detector; episodes are first ones, without their echo. */
export type Witness = {
  readonly episode: (kind: "fault" | "alarm", mechanism: number, day: number) => void;
  readonly callOut: (task: PreventiveTask, life: Life, done: number) => void;
};

const CALLED_AFTER_FAULT = 0.7;
const CALLED_AFTER_ALARM = 0.35;

/** One day of a detector's life: a call-out due comes first, then the state moves on, then events are drawn. */
export function liveDay(life: Life, setting: Setting, witness: Witness | null): void {
  const { state, traits } = life;
  const { chance, today } = setting;
  if (life.callOut && today.day >= life.callOut.dueDay) {
    const { mechanism } = life.callOut;
    life.callOut = null;
    const task = broughtTask(chance, mechanism);
    const done = chance() < 0.8 ? between(chance, 0.75, 1) : 0;
    if (task !== null) {
      if (witness) witness.callOut(task, life, done);
      else applyTask(state, traits, task, done);
    }
  }
  advance(state, traits, setting);
  draw(life, "fault", { setting, witness });
  draw(life, "alarm", { setting, witness });
}

function draw(
  life: Life,
  kind: "fault" | "alarm",
  { setting: { chance, today }, witness }: { setting: Setting; witness: Witness | null },
): void {
  const { state } = life;
  const total = kind === "fault" ? state.faultTotal : state.alarmTotal;
  const count = poisson(chance, total);
  for (let index = 0; index < count; index += 1) {
    const mechanism = pickIndex(chance, kind === "fault" ? state.fault : state.alarm);
    witness?.episode(kind, mechanism, today.day);
    if (life.callOut === null && chance() < (kind === "fault" ? CALLED_AFTER_FAULT : CALLED_AFTER_ALARM)) {
      life.callOut = { dueDay: today.day + 1 + Math.floor(3 * chance()), mechanism };
    }
  }
}

/** How often the remedy is known on the spot; rarer where it takes a survey, parts or a new detector. */
function knownOnSpot(mechanism: number): number {
  if (mechanism === M.soiling || mechanism === M.insects) return 0.65;
  if (mechanism === M.knocked || mechanism === M.thermal) return 0.6;
  return mechanism === M.equipment || mechanism === M.wear_out ? 0.25 : 0.12;
}

/** The task a call-out brings: sometimes the right one, else what is usually tried; null when only looked at. */
function broughtTask(chance: Chance, mechanism: number): PreventiveTask | null {
  const right = usualTask(mechanisms[mechanism] ?? "background");
  if (right !== null && chance() < knownOnSpot(mechanism)) return right;
  if (mechanism === M.mount && chance() < 0.75) return "realign";
  return chance() < 0.35 ? null : pick(chance, ["clean", "clean", "realign"]);
}

/** Chance that an episode is followed by an echo, and that it is the first of a burst, with the burst's size. */
export const ECHO = { chance: 0.25, burst: 0.02, burstLeast: 3, burstMost: 8 } as const;

/** Episodes one first episode brings with it on average, itself counted; and the mean of the square. */
export const EPISODES_EACH = (() => {
  const echo = ECHO.chance / (1 - ECHO.chance);
  const echoSquare = ECHO.chance / (1 - ECHO.chance) ** 2 + echo ** 2;
  const sizes = Array.from({ length: ECHO.burstMost - ECHO.burstLeast + 1 }, (_, index) => ECHO.burstLeast + index);
  const burst = (ECHO.burst * sizes.reduce((sum, size) => sum + size, 0)) / sizes.length;
  const burstSquare = (ECHO.burst * sizes.reduce((sum, size) => sum + size * size, 0)) / sizes.length;
  return {
    mean: 1 + echo + burst,
    square: 1 + echoSquare + burstSquare + 2 * (echo + burst + echo * burst),
  };
})();

/** Share of own false alarms whose verdict is never found. */
export const NEVER_JUDGED = 0.04;
