import type { SettingDefinition } from "@/lib/settings/definition";

const money = { group: "costs", unit: "money", min: 0, max: 1_000_000_000, source: "your_figure" } as const;

/** What events and visits cost, in minor units of the portfolio's currency. */
export const costSettings = {
  perFaultEpisode: {
    ...money,
    label: "One fault episode",
    meaning: "Call-out, travel and access after a fault warning, and the time the detector is out of service.",
    default: 38_500,
  },
  perUnwantedAlarm: {
    ...money,
    label: "One unwanted alarm",
    meaning: "Loss to occupiers, attendance of the fire service where it charges, and the call-out that follows.",
    default: 190_000,
    source: "welsh_government_2015",
  },
  travelPerVisit: {
    ...money,
    label: "Travel of one visit",
    meaning: "Getting a technician to the site and back when only this visit is made.",
    default: 9_500,
  },
  accessLadder: { ...money, label: "Ladder", meaning: "Charge for reaching a detector from a ladder.", default: 0 },
  accessTower: { ...money, label: "Tower", meaning: "Hire and delivery of a tower for one visit.", default: 14_000 },
  accessScissorLift: {
    ...money,
    label: "Scissor lift",
    meaning: "Hire and delivery of a scissor lift for one visit.",
    default: 24_000,
  },
  accessBoomLift: {
    ...money,
    label: "Boom lift",
    meaning: "Hire and delivery of a boom lift for one visit.",
    default: 41_000,
  },
  taskClean: { ...money, label: "Clean", meaning: "Labour and material to clean lens and reflector.", default: 4_500 },
  taskRealign: { ...money, label: "Realign", meaning: "Labour to realign and prove the detector.", default: 9_000 },
  taskRepair: { ...money, label: "Repair", meaning: "Labour and parts of a typical repair.", default: 26_000 },
  taskReplace: { ...money, label: "Replace", meaning: "Labour and a new detector.", default: 120_000 },
  taskSurvey: {
    ...money,
    label: "Survey",
    meaning: "Finding the cause on site: mounting, sun, steam, stock in the beam; with the small measures that follow.",
    default: 22_000,
  },
} as const satisfies Record<string, SettingDefinition>;
