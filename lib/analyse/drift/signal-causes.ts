import type { DriftModel } from "@/lib/analyse/drift/model";
import type { Threat } from "@/lib/analyse/findings/kind";

/** Share, 0 to 1, of what threatens a detector's signal that a cause explains. */
export type SignalCause = { readonly cause: Threat; readonly weight: number };

/**
 * What the readings hold against each cause as of the model's moment, largest first; weights sum to 1 at most, and the
 * rest is nothing the signal shows. Empty where nothing could be fitted.
 */
export function signalCauses(model: DriftModel): readonly SignalCause[] {
  if (model.outcome === "none") return [];
  const { fits, pValues, swingDb } = model;
  const [signal] = fits;
  if (!signal) return [];
  const compensation = fits.find(({ quantity }) => quantity === "compensation");
  const soiling = (1 - Math.min(1, 2 * Math.min(...pValues))) * 0.9;
  const thermal = Math.min(1, swingDb / signal.limit) * (1 - soiling);
  const spent = compensation && compensation.level >= 85 ? 1 - soiling - thermal : 0;
  const weighed: SignalCause[] = [
    { cause: "soiling", weight: soiling },
    { cause: "thermal movement", weight: thermal },
    { cause: "compensation at its limit", weight: Math.max(0, spent) },
  ];
  return weighed.filter(({ weight }) => weight > 0.01).sort((a, b) => b.weight - a.weight);
}
