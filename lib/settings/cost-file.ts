import { z } from "zod";
import { keysOf } from "@/lib/kernel/objects";
import type { SettingKey, Settings } from "@/lib/settings/settings";

/** Settings with the costs of a file, or what is wrong with the file, naming the key. */
export type CostFile =
  | { readonly ok: true; readonly settings: Settings }
  | { readonly ok: false; readonly problem: string };

const amount = z
  .number({ error: "is not a number; give an amount in minor units, such as 38500" })
  .min(0, "is below 0; give an amount of 0 or more")
  .max(1_000_000_000, "is larger than 1000000000; give the amount in minor units")
  .optional();

const costFileSchema = z.strictObject({
  currency: z
    .string({ error: "is not a text" })
    .regex(/^[A-Z]{3}$/, "is not a currency; use three capital letters such as EUR")
    .optional(),
  perFaultEpisode: amount,
  perUnwantedAlarm: amount,
  travelPerVisit: amount,
  accessPerVisit: z.strictObject({ ladder: amount, tower: amount, scissor_lift: amount, boom_lift: amount }).optional(),
  perTask: z
    .strictObject({ clean: amount, realign: amount, repair: amount, replace: amount, survey: amount })
    .optional(),
});

/** Where the parts of a costs file stand in the settings. */
const settingOf = {
  accessPerVisit: {
    ladder: "accessLadder",
    tower: "accessTower",
    scissor_lift: "accessScissorLift",
    boom_lift: "accessBoomLift",
  },
  perTask: {
    clean: "taskClean",
    realign: "taskRealign",
    repair: "taskRepair",
    replace: "taskReplace",
    survey: "taskSurvey",
  },
} as const satisfies Record<string, Record<string, SettingKey>>;

/**
 * Settings with the costs that a JSON text gives; what it leaves out stays.
 *
 * Unknown keys, negative amounts and values that are not numbers are refused, as a slip would otherwise go unseen.
 */
export function settingsWithCosts(settings: Settings, text: string): CostFile {
  const json = parsed(text);
  if (json === undefined) return { ok: false, problem: "is not JSON; check brackets, quotes and commas" };
  const file = costFileSchema.safeParse(json);
  if (!file.success) return { ok: false, problem: problemOf(file.error) };
  const { accessPerVisit, perTask, ...plain } = file.data;
  const changed = { ...settings };
  if (plain.currency !== undefined) changed.currency = plain.currency;
  for (const key of ["perFaultEpisode", "perUnwantedAlarm", "travelPerVisit"] as const) {
    changed[key] = plain[key] ?? changed[key];
  }
  for (const access of keysOf(settingOf.accessPerVisit)) {
    const key = settingOf.accessPerVisit[access];
    changed[key] = accessPerVisit?.[access] ?? changed[key];
  }
  for (const task of keysOf(settingOf.perTask)) {
    const key = settingOf.perTask[task];
    changed[key] = perTask?.[task] ?? changed[key];
  }
  return { ok: true, settings: changed };
}

function parsed(text: string): unknown {
  try {
    const json: unknown = JSON.parse(text.replace(/^\uFEFF/, ""));
    return json;
  } catch {
    return undefined;
  }
}

function problemOf(error: z.ZodError): string {
  const [issue] = error.issues;
  if (!issue) return "is not a costs file";
  const place = issue.path.join(".");
  if (issue.code === "unrecognized_keys") {
    const key = [...issue.path, issue.keys[0] ?? ""].join(".");
    return `has the unknown key '${key}'; leave it out or mend its spelling`;
  }
  return place === "" ? "is not an object with costs" : `has '${place}', which ${issue.message}`;
}
