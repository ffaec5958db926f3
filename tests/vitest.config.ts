import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const root = fileURLToPath(new URL("..", import.meta.url));
const shared = { alias: { "@": root } };

/** `unit` needs nothing but the code; `browser` needs a build and a browser; `slow` is the seeded calibration. */
export default defineConfig({
  root,
  resolve: shared,
  test: {
    passWithNoTests: false,
    projects: [
      {
        root,
        resolve: shared,
        test: {
          name: "unit",
          include: ["tests/**/*.test.ts"],
          exclude: ["tests/app/browser/**", "tests/calibration/**"],
          testTimeout: 60_000,
          hookTimeout: 120_000,
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
