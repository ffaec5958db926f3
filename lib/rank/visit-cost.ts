import type { PreventiveTask } from "@/lib/rank/effects";
import type { CostLine } from "@/lib/rank/result";
import type { Access } from "@/lib/records/vocabulary";
import type { SettingKey, Settings } from "@/lib/settings/settings";

const accessKeys: Readonly<Record<Access, { key: SettingKey; label: string }>> = {
  ladder: { key: "accessLadder", label: "Ladder" },
  tower: { key: "accessTower", label: "Tower" },
  scissor_lift: { key: "accessScissorLift", label: "Scissor lift" },
  boom_lift: { key: "accessBoomLift", label: "Boom lift" },
};

const taskKeys: Readonly<Record<PreventiveTask, { key: SettingKey; label: string }>> = {
  clean: { key: "taskClean", label: "Clean" },
  realign: { key: "taskRealign", label: "Realign" },
  repair: { key: "taskRepair", label: "Repair" },
  replace: { key: "taskReplace", label: "Replace" },
  survey: { key: "taskSurvey", label: "Survey" },
};

/** What a visit to one detector alone costs, line by line, in minor units. */
export function visitCostLines(
  task: PreventiveTask,
  { access, settings }: { access: Access; settings: Settings },
): CostLine[] {
  const reach = accessKeys[access];
  const work = taskKeys[task];
  return [
    { label: "Travel", minor: settings.travelPerVisit },
    { label: reach.label, minor: settings[reach.key] },
    { label: work.label, minor: settings[work.key] },
  ];
}

/** Sum of cost lines, in minor units. */
export function sumOf(lines: readonly CostLine[]): number {
  return lines.reduce((sum, line) => sum + line.minor, 0);
}
