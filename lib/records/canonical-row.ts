import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Reading } from "@/lib/records/reading";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";

/** A record together with the kind of file it stands in. */
export type CanonicalRow =
  | { readonly kind: "sites"; readonly record: Site }
  | { readonly kind: "detectors"; readonly record: Detector }
  | { readonly kind: "readings"; readonly record: Reading }
  | { readonly kind: "events"; readonly record: Event }
  | { readonly kind: "work"; readonly record: Work };

/** A record of one of the kinds that are kept one record a row: all but readings. */
export type TableRow = Exclude<CanonicalRow, { kind: "readings" }>;
