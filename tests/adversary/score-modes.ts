import { causes } from "@/lib/analyse/modes/cause";

/** The cause the reason of a visit names, "unknown" where it names none. */
export function modeOf(reason: string): string {
  if (reason.includes("equipment itself")) return "equipment";
  return causes.find((cause) => cause !== "equipment" && cause !== "unknown" && reason.includes(cause)) ?? "unknown";
}
