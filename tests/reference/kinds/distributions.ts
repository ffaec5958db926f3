import {
  betaCdf,
  betaQuantile,
  betaUpper,
  binomialCdf,
  binomialUpper,
  chiSquareCdf,
  chiSquareQuantile,
  chiSquareUpper,
  fCdf,
  fQuantile,
  fUpper,
  gammaCdf,
  gammaQuantile,
  gammaUpper,
  negativeBinomialCdf,
  negativeBinomialPmf,
  negativeBinomialQuantile,
  negativeBinomialUpper,
  normalCdf,
  normalQuantile,
  normalUpper,
  poissonCdf,
  poissonQuantile,
  poissonUpper,
  studentCdf,
  studentQuantile,
  studentUpper,
} from "@/lib/statistics/distributions";
import { at, type Json, listAt, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

type Row = (x: number, a: number, b: number) => number;

const byProbability = (size: number, prob: number) => ({ size, mean: (size * (1 - prob)) / prob });

/** Arguments in the order of the rows; "sf" is P(X > x), so P(X >= k + 1) for counts. */
const FUNCTIONS: Record<string, Row> = {
  "poisson.cdf": poissonCdf,
  "poisson.sf": (k, mean) => poissonUpper(k + 1, mean),
  "poisson.quantile": poissonQuantile,
  "binomial.cdf": (k, n, p) => binomialCdf(k, { n, p }),
  "binomial.sf": (k, n, p) => binomialUpper(k + 1, { n, p }),
  "nbinom.cdf": (k, size, prob) => negativeBinomialCdf(k, byProbability(size, prob)),
  "nbinom.sf": (k, size, prob) => negativeBinomialUpper(k + 1, byProbability(size, prob)),
  "nbinom.pmf": (k, size, prob) => negativeBinomialPmf(k, byProbability(size, prob)),
  "nbinom.quantile": (p, size, prob) => negativeBinomialQuantile(p, byProbability(size, prob)),
  "chisq.cdf": chiSquareCdf,
  "chisq.sf": chiSquareUpper,
  "chisq.quantile": chiSquareQuantile,
  "gamma.cdf": (x, shape, rate) => gammaCdf(x, { shape, rate }),
  "gamma.sf": (x, shape, rate) => gammaUpper(x, { shape, rate }),
  "gamma.quantile": (p, shape, rate) => gammaQuantile(p, { shape, rate }),
  "beta.cdf": (x, a, b) => betaCdf(x, { a, b }),
  "beta.sf": (x, a, b) => betaUpper(x, { a, b }),
  "beta.quantile": (p, a, b) => betaQuantile(p, { a, b }),
  "t.cdf": studentCdf,
  "t.sf": studentUpper,
  "t.quantile": studentQuantile,
  "normal.cdf": normalCdf,
  "normal.sf": normalUpper,
  "normal.quantile": normalQuantile,
  "f.cdf": (x, df1, df2) => fCdf(x, { df1, df2 }),
  "f.sf": (x, df1, df2) => fUpper(x, { df1, df2 }),
  "f.quantile": (p, df1, df2) => fQuantile(p, { df1, df2 }),
};

function evaluate(json: Json) {
  const tolerance = numberAt(json, "tolerance");
  const families = at(json, "expected");
  return Object.keys(families ?? {}).flatMap((name) => {
    const f = FUNCTIONS[name];
    const rows = listAt({ rows: (families as Record<string, Json>)[name] ?? null }, "rows");
    return rows.map((row) => {
      const numbers = numbersAt({ row }, "row");
      const [x = Number.NaN, a = Number.NaN, b = Number.NaN] = numbers.slice(0, -1);
      const expected = numbers.at(-1) ?? null;
      return { id: `${name}(${numbers.slice(0, -1)})`, expected, actual: f?.(x, a, b), tolerance, relative: true };
    });
  });
}

export const distributionKinds: readonly Kind[] = [
  {
    name: "distribution functions, tails and quantiles",
    prefixes: ["distributions"],
    looksLike: (json) => at(json, "toleranceKind") === "relative" && at(json, "input") === "see rows",
    evaluate,
  },
];
