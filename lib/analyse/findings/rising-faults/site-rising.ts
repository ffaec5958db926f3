import { siteSentence } from "@/lib/analyse/findings/rising-faults/wording";
import type { FindingsContext } from "@/lib/analyse/findings-context";
import type { SiteTrend } from "@/lib/analyse/site-trend";
import { benjaminiHochberg } from "@/lib/statistics/benjamini-hochberg";
import { risingEvidence } from "@/lib/statistics/rising-evidence";
import { risingRatioLimits } from "@/lib/statistics/rising-ratio";

/**
 * Whether the faults of a whole site rise, its strongest detector left out. `ratio` and `high` are null where they have
 * no upper limit; `siteWide` tells whether the rise is inside the false-discovery limit over all sites.
 */
export type SiteRising = {
  readonly pValue: number;
  readonly qValue: number;
  readonly siteWide: boolean;
  readonly ratio: number | null;
  readonly low: number;
  readonly high: number | null;
  readonly sentence: string;
};

/**
 * The rise of every site beyond season and fleet, by site id; a site with too few events to judge is not in it.
 *
 * Its detectors are then judged beyond that rise, so a cause of the whole site is named here once.
 */
export function sitesRising(fleet: Pick<FindingsContext, "faultTrends" | "history">): ReadonlyMap<string, SiteRising> {
  const sites = [...fleet.faultTrends.ofSite].map(([siteId, trend]) => {
    const seen = { windows: trend.windows, dispersion: fleet.faultTrends.dispersionAt(trend.eventsEach) };
    return { siteId, trend, seen, pValue: Math.max(trend.pVotes, risingEvidence(trend.times, seen).rising) };
  });
  const qValues = benjaminiHochberg(sites.map(({ pValue }) => pValue));
  return new Map(
    sites.map(({ siteId, trend, seen, pValue }, index) => {
      const qValue = qValues[index] ?? 1;
      const siteWide = qValue <= fleet.history.settings.falseDiscoveryLimit;
      const { low, high } = risingRatioLimits(trend.times, seen);
      const ratio = ratioOf(trend, { low, high });
      const sentence = siteSentence({ ...trend, ratio, low, high, siteWide });
      return [siteId, { pValue, qValue, siteWide, ratio, low, high, sentence }];
    }),
  );
}

function ratioOf({ recent, before, windows }: SiteTrend, { low, high }: { low: number; high: number | null }) {
  const [start] = windows;
  if (before === 0 || start === undefined) return null;
  const ratio = ((recent / before) * start) / (1 - start);
  return Math.min(high ?? Infinity, Math.max(low, ratio));
}
