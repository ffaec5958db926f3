import type { SettingDefinition } from "@/lib/settings/definition";

const choice = { group: "analysis", source: "choice" } as const;

/** How records become episodes, clusters and exposure. */
export const analysisSettings = {
  episodeJoinMin: {
    ...choice,
    label: "Episode gap",
    meaning: "Records of one detector and condition that overlap or follow within this time count once.",
    unit: "minutes",
    default: 30,
    min: 0,
    max: 1440,
  },
  clusterJoinDays: {
    ...choice,
    label: "Cluster gap",
    meaning:
      "Episodes at most this far apart count as one event in tests, so that one cause that returns is one event.",
    unit: "days",
    default: 7,
    min: 0,
    max: 60,
  },
  commonCauseWindowMin: {
    ...choice,
    label: "Common-cause window",
    meaning: "Faults that start within this time on enough detectors of a site have one cause of the site.",
    unit: "minutes",
    default: 10,
    min: 1,
    max: 240,
  },
  commonCauseShare: {
    ...choice,
    label: "Common-cause share",
    meaning: "Share of a site's detectors that must start a fault together.",
    unit: "share",
    default: 0.5,
    min: 0.05,
    max: 1,
  },
  commonCauseDetectors: {
    ...choice,
    label: "Common-cause detectors",
    meaning: "Number of detectors that must start a fault together, at least.",
    unit: "count",
    default: 3,
    min: 2,
    max: 100,
  },
  silentAfterHours: {
    ...choice,
    label: "Silence of a site",
    meaning:
      "A site that sends readings is unobserved from this long after its last record, or five usual intervals if that is longer.",
    unit: "hours",
    default: 48,
    min: 1,
    max: 8760,
  },
  openTestHours: {
    ...choice,
    label: "Test without an end",
    meaning: "A test record without an end masks events for this long.",
    unit: "hours",
    default: 8,
    min: 0,
    max: 168,
  },
} as const satisfies Record<string, SettingDefinition>;
