export { analysisRuns, runDetectors, runSites } from "@/db/schema/analysis-runs";
export { detectors } from "@/db/schema/detectors";
export { events } from "@/db/schema/events";
export { importConflicts, importFiles, importRejects, imports, waitingRows } from "@/db/schema/imports";
export { readingChunks, readingClaims, readingDays } from "@/db/schema/readings";
export { rowClaims } from "@/db/schema/row-claims";
export { counters, settings } from "@/db/schema/settings";
export { sites } from "@/db/schema/sites";
export { work } from "@/db/schema/work";
