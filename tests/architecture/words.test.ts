import { describe, expect, it } from "vitest";
import { sourceFiles } from "./source-files";

/** Words the house leaves out, with the one it uses instead; docs/glossary.md gives each kept word its source. */
const leftOut: readonly (readonly [RegExp, string])[] = [
  [/\bsensors?\b/i, "detector"],
  [/\bnuisance\b/i, "unwanted alarm"],
  [/\bincidents?\b/i, "event"],
  [/\bassets?\b/i, "detector"],
  [/\btickets?\b/i, "visit"],
];

const texts = [
  ...sourceFiles(["app", "lib", "db", "seed"]),
  ...sourceFiles(["docs"], /\.md$/),
  ...sourceFiles(["."], /^(README|DEVELOPERS)\.md$/).filter((file) => !file.path.includes("/")),
];

/** Places where a left-out word is quoted as such. */
const quoting = ["docs/glossary.md"];

describe("one word for each thing", () => {
  it.each(leftOut)("uses no %s (the word is %s)", (pattern) => {
    const found = texts
      .filter((file) => !quoting.includes(file.path) && pattern.test(file.text))
      .map((file) => file.path);
    expect(found).toEqual([]);
  });
});
