import { index, integer, primaryKey, real, sqliteTable, text } from "drizzle-orm/sqlite-core";
import { detectors } from "@/db/schema/detectors";
import { sites } from "@/db/schema/sites";

/** Analysis runs; what a screen says of the whole fleet stands in `fleet`. */
export const analysisRuns = sqliteTable("analysis_runs", {
  id: integer().primaryKey({ autoIncrement: true }),
  asOf: integer("as_of").notNull(),
  horizonDays: integer("horizon_days").notNull(),
  settingsVersion: integer("settings_version").notNull(),
  dataVersion: integer("data_version").notNull(),
  formatVersion: integer("format_version").notNull(),
  createdAt: integer("created_at").notNull(),
  fleet: text({ mode: "json" }).$type<unknown>().notNull(),
});

/** A site's result in a run: columns to sort by, and everything a screen says of it in `payload`. */
export const runSites = sqliteTable(
  "run_sites",
  {
    runId: integer("run_id")
      .notNull()
      .references(() => analysisRuns.id, { onDelete: "cascade" }),
    siteKey: integer("site_key")
      .notNull()
      .references(() => sites.key, { onDelete: "cascade" }),
    expectedCost: real("expected_cost").notNull(),
    netBenefit: real("net_benefit").notNull(),
    faults12m: integer("faults_12m").notNull(),
    falseAlarms12m: integer("false_alarms_12m").notNull(),
    testsOverdue: integer("tests_overdue").notNull(),
    payload: text({ mode: "json" }).$type<unknown>().notNull(),
  },
  (table) => [primaryKey({ columns: [table.runId, table.siteKey] }), index("run_sites_by_site").on(table.siteKey)],
);

/** A detector's result in a run; `findingKinds` is the list between commas, `,a,b,`, so that one kind can be sought. */
export const runDetectors = sqliteTable(
  "run_detectors",
  {
    runId: integer("run_id")
      .notNull()
      .references(() => analysisRuns.id, { onDelete: "cascade" }),
    detectorKey: integer("detector_key")
      .notNull()
      .references(() => detectors.key, { onDelete: "cascade" }),
    rank: integer().notNull(),
    netBenefit: real("net_benefit").notNull(),
    expectedCost: real("expected_cost").notNull(),
    faults12m: integer("faults_12m").notNull(),
    alarms12m: integer("alarms_12m").notNull(),
    latestSignalPct: real("latest_signal_pct"),
    testOverdueDays: integer("test_overdue_days"),
    findingKinds: text("finding_kinds").notNull(),
    payload: text({ mode: "json" }).$type<unknown>().notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.runId, table.detectorKey] }),
    index("run_detectors_by_rank").on(table.runId, table.rank),
    index("run_detectors_by_net_benefit").on(table.runId, table.netBenefit),
    index("run_detectors_by_expected_cost").on(table.runId, table.expectedCost),
    index("run_detectors_by_faults").on(table.runId, table.faults12m),
    index("run_detectors_by_detector").on(table.detectorKey),
  ],
);
