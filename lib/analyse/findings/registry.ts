import { repeatRealignment } from "@/lib/analyse/findings/repeat-realignment/index";
import { risingFaults } from "@/lib/analyse/findings/rising-faults/index";
import { seasonalAlarms } from "@/lib/analyse/findings/seasonal-alarms/index";
import { signalDrift } from "@/lib/analyse/findings/signal-drift/index";

/** Every finding kind, in the order in which results are listed. A new kind is one line here. */
export const findingKinds = [risingFaults, seasonalAlarms, repeatRealignment, signalDrift] as const;

/** Name of a finding kind. */
export type FindingName = (typeof findingKinds)[number]["name"];

/** Names of all finding kinds. */
export const kindNames: readonly FindingName[] = findingKinds.map((kind) => kind.name);
