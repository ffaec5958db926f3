import type { CommonCauseEpisode } from "@/lib/analyse/common-cause";
import type { Cluster, Episode } from "@/lib/analyse/episodes";
import type { Exposure, SiteHearing } from "@/lib/analyse/exposure";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";
import type { Settings } from "@/lib/settings/settings";

/** All that is known of one detector up to the as-of moment. Lists are oldest first. */
export type DetectorHistory = {
  readonly detector: Detector;
  readonly site: Site;
  readonly asOf: number;
  readonly installedAt: number;
  readonly exposure: Exposure;
  /** Its own fault episodes, without masked ones and those of the site. */
  readonly faults: readonly Episode[];
  /** Fault episodes as tests count them, those outside the time at risk left out. */
  readonly faultClusters: readonly Cluster[];
  /** All its fire episodes without masked ones, whatever the verdict. */
  readonly fires: readonly Episode[];
  /** Fire episodes with a false-alarm verdict a visit can prevent. */
  readonly ownAlarms: readonly Episode[];
  readonly alarmClusters: readonly Cluster[];
  readonly work: readonly Work[];
  readonly signal: SignalSummary | null;
};

/** All that is known of a site as a whole. */
export type SiteHistory = {
  readonly site: Site;
  readonly hearing: SiteHearing;
  readonly commonCause: readonly CommonCauseEpisode[];
};

/** A fleet as of a moment: detectors and sites in the order of their ids. */
export type FleetHistory = {
  readonly asOf: number;
  /** Moment of the fleet's first record; the as-of moment when there is none. */
  readonly firstRecordAt: number;
  readonly detectors: readonly DetectorHistory[];
  readonly sites: readonly SiteHistory[];
  readonly settings: Settings;
};
