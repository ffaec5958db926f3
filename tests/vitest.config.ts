import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const root = fileURLToPath(new URL("..", import.meta.url));
const shared = { alias: { "@": root } };

/** `unit` needs nothing but the code; `browser` needs a build and a browser; `slow` is the seeded calibration; `exhaustive` kills and fuzzes. */
export default defineConfig({
  root,
  resolve: shared,
  test: {
    passWithNoTests: false,
    // The usual share leaves one core idle, which on a machine with two is half of it.
    maxWorkers: "100%",
    projects: [
      {
        root,
        resolve: shared,
        test: {
          name: "unit",
          // A process for each file would spend more on loading the code than on testing it.
          isolate: false,
          include: ["tests/**/*.test.ts"],
          exclude: ["tests/app/browser/**", "tests/calibration/**", "tests/exhaustive/**"],
          testTimeout: 180_000,
          hookTimeout: 180_000,
        },
      },
      {
        root,
        resolve: shared,
        test: {
          name: "slow",
          include: ["tests/calibration/**/*.test.ts"],
          testTimeout: 600_000,
          hookTimeout: 600_000,
        },
      },
      {
        root,
        resolve: shared,
        test: {
          name: "exhaustive",
          include: ["tests/exhaustive/**/*.test.ts"],
          testTimeout: 7_200_000,
          hookTimeout: 600_000,
          fileParallelism: false,
        },
      },
      {
        root,
        resolve: shared,
        test: {
          name: "browser",
          include: ["tests/app/browser/**/*.test.ts"],
          testTimeout: 180_000,
          hookTimeout: 300_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
