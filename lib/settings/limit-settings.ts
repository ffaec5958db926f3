import type { SettingDefinition } from "@/lib/settings/definition";

const rate = {
  group: "limits",
  unit: "per 100 a year",
  min: 0.01,
  max: 1000,
  source: "bs_5839_1_false_alarms",
} as const;
const count = { group: "limits", unit: "count", min: 1, max: 1000, source: "bs_5839_1_false_alarms" } as const;

/** Limits that a standard or the portfolio sets. */
export const limitSettings = {
  expectedFalseAlarmRate: {
    ...rate,
    label: "False-alarm rate normally achievable",
    meaning: "1 per 50 detectors a year; the benchmark beside which rates are shown.",
    default: 2,
  },
  preliminaryFalseAlarmRate: {
    ...rate,
    label: "False-alarm rate that asks for a look",
    meaning: "More than 1 per 25 detectors over the previous 12 months.",
    default: 4,
  },
  investigationFalseAlarmRate: {
    ...rate,
    label: "False-alarm rate that asks for an in-depth investigation",
    meaning: "More than 1 per 20 detectors in 12 months, on systems of more than 40 detectors.",
    default: 5,
  },
  investigationAlarmsOneDetector: {
    ...count,
    label: "False alarms from one detector that ask for an in-depth investigation",
    meaning: "3 or more from one detector or location in 12 months.",
    default: 3,
  },
  investigationAlarmsSmallSystem: {
    ...count,
    label: "False alarms of a small system that ask for an in-depth investigation",
    meaning: "3 or more in 12 months on systems of 40 detectors or fewer.",
    default: 3,
  },
  smallSystemDetectors: {
    ...count,
    label: "Largest small system",
    meaning: "Systems with at most this many automatic detectors are judged by count, larger ones by rate.",
    default: 40,
  },
  functionalTestIntervalDays: {
    group: "limits",
    label: "Interval of the functional test",
    meaning:
      "Every detector is functionally tested within this many days; later it is overdue. Your local code may ask for less.",
    unit: "days",
    default: 365,
    min: 1,
    max: 3660,
    source: "bs_5839_1_annual_test",
  },
  falseDiscoveryLimit: {
    group: "limits",
    label: "False-discovery limit",
    meaning: "Of the findings listed, at most this share is expected to be chance, for each kind over the whole fleet.",
    unit: "share",
    default: 0.05,
    min: 0.001,
    max: 0.5,
    source: "benjamini_hochberg_1995",
  },
} as const satisfies Record<string, SettingDefinition>;
