import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import type { FaultCause, Verdict } from "@/lib/records/vocabulary";
import { glareOn } from "@/tests/adversary/climate";
import { between, pick, pickIndex } from "@/tests/adversary/dice";
import { ECHO, NEVER_JUDGED } from "@/tests/adversary/life";
import { M } from "@/tests/adversary/mechanism";
import type { HiddenSite, Span } from "@/tests/adversary/site";
import type { Traits } from "@/tests/adversary/traits";

/** Where the records of one detector's episodes go, and what shapes them. */
export type Pen = {
  readonly chance: Chance;
  readonly span: Span;
  readonly hidden: HiddenSite;
  readonly detectorId: string;
  readonly traits: Traits;
  readonly events: Event[];
};

/** A first episode of a mechanism on a day. */
export type FirstEpisode = { readonly kind: "fault" | "alarm"; readonly mechanism: number; readonly day: number };

/** Writes the records of a first episode, with its burst, its echo and its chatter. */
export function writeEpisodes(pen: Pen, first: FirstEpisode): void {
  const { chance, span } = pen;
  const beganAt = span.startAt + first.day * DAY_MS + momentOfDay(pen, first);
  writeEpisode(pen, first, beganAt);
  if (chance() < ECHO.burst) {
    const more = ECHO.burstLeast + Math.floor((ECHO.burstMost - ECHO.burstLeast + 1) * chance());
    let next = beganAt;
    for (let index = 0; index < more; index += 1) {
      next += between(chance, 0.36, 0.8) * DAY_MS;
      writeEpisode(pen, first, next);
    }
  }
  let at = beganAt;
  while (chance() < ECHO.chance) {
    at += between(chance, 0.36, 5) * DAY_MS;
    writeEpisode(pen, first, at);
  }
}

function writeEpisode(pen: Pen, { kind, mechanism }: FirstEpisode, beganAt: number): void {
  const { chance, span, detectorId, events, traits, hidden } = pen;
  const day = (beganAt - span.startAt) / DAY_MS;
  if (day >= span.days + span.horizonDays || day < Math.max(0, traits.bornDay)) return;
  const length = chance() < 0.82 ? between(chance, 1, 150) * MINUTE_MS : between(chance, 2.5, 6) * HOUR_MS;
  const noEnd = chance() < 0.04;
  const verdict = kind === "alarm" ? verdictOf(pen, mechanism, beganAt) : null;
  let at = Math.round(beganAt / 1000) * 1000;
  const records = chance() < 0.15 ? 2 + Math.floor(3 * chance()) : 1;
  for (let index = 0; index < records; index += 1) {
    const wholeLength = index === 0 ? length : between(chance, 1, 10) * MINUTE_MS;
    const endedAt = noEnd ? null : Math.round((at + wholeLength) / 1000) * 1000;
    const cause = kind === "fault" ? panelCause(chance, { mechanism, traits, hidden }) : null;
    events.push({ detectorId, beganAt: at, endedAt, condition: kind === "fault" ? "fault" : "fire", cause, verdict });
    at = (endedAt ?? at) + Math.round(between(chance, 1, 20) * 60) * 1000;
  }
}

const BLINDED: FaultCause = "low_signal";

function panelCause(
  chance: Chance,
  { mechanism, traits, hidden }: { mechanism: number; traits: Traits; hidden: HiddenSite },
): FaultCause | null {
  const { missing, wrongWords } = hidden.habits;
  if (chance() < missing) return null;
  if (chance() < wrongWords) return pick(chance, ["low_signal", "path_blocked", "compensation_limit", "unknown"]);
  if (mechanism === M.obstruction) return "path_blocked";
  if (mechanism === M.insects) return chance() < 0.6 ? "path_blocked" : BLINDED;
  if (mechanism === M.soiling || mechanism === M.ageing) return traits.compensated ? "compensation_limit" : BLINDED;
  if (mechanism === M.thermal || mechanism === M.mount || mechanism === M.knocked) return BLINDED;
  if (mechanism === M.background) return pick(chance, ["unknown", "unknown", BLINDED, "path_blocked"]);
  return chance() < 0.7 ? "unknown" : BLINDED;
}

const LATE_DAYS = 35;

// What is not judged at the as-of moment may be judged later; what is never judged stays unknown.
function verdictOf({ chance, span }: Pen, mechanism: number, beganAt: number): Verdict | null {
  const never = chance() < NEVER_JUDGED;
  const asOf = span.startAt + span.days * DAY_MS;
  const late = beganAt < asOf && beganAt > asOf - LATE_DAYS * DAY_MS && chance() < 0.5;
  if (never || late) return chance() < 0.5 ? "unknown" : null;
  return chance() < (mechanism === M.equipment ? 0.85 : 0.05) ? "equipment" : "unwanted";
}

const DAY_HOURS = [2, 1, 1, 1, 1, 2, 3, 4, 5, 6, 6, 7, 6, 6, 6, 5, 5, 4, 4, 3, 3, 2, 2, 2];

/** Milliseconds after the start of the UTC day at which a mechanism strikes. */
function momentOfDay({ chance, hidden, traits, span }: Pen, { kind, mechanism, day }: FirstEpisode): number {
  const local = (hour: number) => (((hour - hidden.site.longitude / 15 + 48) % 24) * HOUR_MS) % DAY_MS;
  if (mechanism === M.low_sun && traits.glare) {
    const minutes = glareOn(traits.glare, span.yearDayOf(day));
    const minute = minutes[Math.floor(minutes.length * chance())] ?? 600;
    return (minute + 10 * chance()) * MINUTE_MS;
  }
  if (mechanism === M.condensation) {
    return local(traits.washHour === null ? between(chance, 4, 8.5) : traits.washHour + between(chance, 0, 1.5));
  }
  if (mechanism === M.insects) return local(between(chance, 20.5, 28));
  if (mechanism === M.obstruction) return local(between(chance, 6.5, 18.5));
  if (mechanism === M.works_dust) return local(between(chance, 8, 17));
  if (mechanism === M.thermal) return local(traits.thermalSign > 0 ? between(chance, 12, 18) : between(chance, 2, 8));
  return local(kind === "alarm" ? pickIndex(chance, DAY_HOURS) + chance() : 24 * chance());
}

/** Writes fires that are none of the detector's own, and disablements with what they mask. */
export function writeOtherEvents(pen: Pen): void {
  const { chance, span, detectorId, events, traits } = pen;
  const total = span.days + span.horizonDays;
  const add = (perYear: number, write: (at: number) => void) => {
    for (let day = Math.max(0, traits.bornDay); day < total; day += 1) {
      day += -Math.log(1 - chance()) * (365.25 / perYear);
      if (day < total) write(Math.round((span.startAt + day * DAY_MS) / 1000) * 1000);
    }
  };
  const blank = { detectorId, cause: null, verdict: null } as const;
  add(0.06, (beganAt) => {
    const verdict = pick(chance, ["genuine", "good_intent", "good_intent", "malicious"]);
    events.push({ ...blank, beganAt, endedAt: beganAt + 20 * MINUTE_MS, condition: "fire", verdict });
  });
  add(0.25, (beganAt) => {
    const endedAt = beganAt + Math.round(between(chance, 2, 60)) * HOUR_MS;
    events.push({ ...blank, beganAt, endedAt, condition: "disablement" });
    const inside = beganAt + Math.round((endedAt - beganAt) * 0.4);
    if (chance() < 0.6) {
      const cause = pick(chance, ["low_signal", "path_blocked"]);
      events.push({ ...blank, beganAt: inside, endedAt: inside + HOUR_MS / 2, condition: "fault", cause });
    }
  });
}
