import { type Episode, isFalseAlarm } from "@/lib/analyse/episodes";
import type { DetectorHistory } from "@/lib/analyse/history";
import { inWords } from "@/lib/analyse/wording";
import { DAY_MS } from "@/lib/kernel/units";
import type { LimitCheck } from "@/lib/rank/result";
import type { Settings } from "@/lib/settings/settings";
import { poissonUpper } from "@/lib/statistics/distributions";

const HALF_YEAR_DAYS = 182.625;
/** False alarms from one detector but those of good intent that ask for a look. Source: BS 5839-1, as the settings. */
const LOOK_AT_ONE_DETECTOR = 2;

/** Chance that at least `count` false alarms come in `years` at a rate a year, when they are independent (Poisson). */
export function chanceOfAtLeast(count: number, { perYear, years }: { perYear: number; years: number }): number {
  return poissonUpper(count, perYear * years);
}

/**
 * The false-alarm limits of BS 5839-1 for one site, met or not, each with the chance of meeting it by luck at the rate
 * normally achievable.
 *
 * @param histories - the site's detectors
 * @param onSystem - automatic detectors of the fire alarm system; the beams alone where it is not known
 */
export function limitChecks(
  histories: readonly DetectorHistory[],
  { onSystem, asOf, settings }: { onSystem: number; asOf: number; settings: Settings },
): LimitCheck[] {
  const perYear = settings.expectedFalseAlarmRate / 100;
  const alarms = histories.map(({ fires }) => fires.filter(isFalseAlarm).map(({ beganAt }) => beganAt));
  const notMeantWell = histories.map(({ fires }) => fires.filter(isNotMeantWell).map(({ beganAt }) => beganAt));
  const inLast = (days: number, lists: readonly number[][] = alarms) =>
    lists.map((list) => list.filter((at) => at >= asOf - days * DAY_MS).length);
  const ofYear = inLast(365.25);
  const total = ofYear.reduce((sum, count) => sum + count, 0);
  const system = { perYear: perYear * onSystem, years: 1 };
  const rate = (rule: string, per100: number): LimitCheck => ({
    rule,
    met: (100 * total) / onSystem > per100,
    observed: `${inWords((100 * total) / onSystem)} per 100 detectors a year`,
    threshold: `more than ${inWords(per100)}`,
    chance: chanceOfAtLeast(Math.floor((per100 * onSystem) / 100) + 1, system),
  });
  const one = (rule: string, { least, days, lists }: OneDetector): LimitCheck => {
    const most = Math.max(0, ...inLast(days, lists));
    const single = chanceOfAtLeast(least, { perYear, years: days / 365.25 });
    return {
      rule,
      met: most >= least,
      observed: `${most} from one detector`,
      threshold: `${least} or more`,
      // At least one of the site's detectors; 1 - (1 - p)^n kept exact for small p.
      chance: -Math.expm1(histories.length * Math.log1p(-single)),
    };
  };
  const small = settings.investigationAlarmsSmallSystem;
  const large = onSystem > settings.smallSystemDetectors;
  return [
    rate("Look into it: rate over 12 months", settings.preliminaryFalseAlarmRate),
    one("Look into it: one detector within half a year", {
      least: LOOK_AT_ONE_DETECTOR,
      days: HALF_YEAR_DAYS,
      lists: notMeantWell,
    }),
    one("Investigate in depth: one detector in 12 months", {
      least: settings.investigationAlarmsOneDetector,
      days: 365.25,
    }),
    large
      ? rate("Investigate in depth: rate over 12 months", settings.investigationFalseAlarmRate)
      : {
          rule: "Investigate in depth: small system in 12 months",
          met: total >= small,
          observed: `${total} false alarms`,
          threshold: `${small} or more`,
          chance: chanceOfAtLeast(small, system),
        },
  ];
}

type OneDetector = { readonly least: number; readonly days: number; readonly lists?: readonly number[][] };

// The look at one detector leaves alarms of good intent out; the other limits count every false alarm.
function isNotMeantWell(fire: Episode): boolean {
  return isFalseAlarm(fire) && fire.verdict !== "good_intent";
}
