import { circleExposure } from "@/lib/statistics/circle";
import { chiSquareUpper } from "@/lib/statistics/distributions";
import { harmonicPoisson } from "@/lib/statistics/harmonic-poisson";
import { solveSymmetric } from "@/lib/statistics/linear-solve";
import { exposureChiSquare, rayleigh } from "@/lib/statistics/rayleigh";
import { rayleighExact } from "@/lib/statistics/rayleigh-exact";
import { exposureWeightedRayleigh } from "@/lib/statistics/season";
import type { Evaluated } from "./compare";
import { at, casesOf, type Json, numberAt, numbersAt } from "./json";
import type { Kind } from "./kind";

const FULL_TURN = 2 * Math.PI;
const MONTH_DAYS = [31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** Month edges on the year circle of 365.25 days, and the middles of the months. */
const EDGES = [...MONTH_DAYS, 0].map(
  (_, month) => (FULL_TURN * MONTH_DAYS.slice(0, month).reduce((sum, days) => sum + days, 0)) / 365.25,
);
const MIDDLES = MONTH_DAYS.map((_, month) => ((EDGES[month] ?? 0) + (EDGES[month + 1] ?? 0)) / 2);

/** Single directions, or the middles of bins as often as their counts say. */
function degreesOf(one: Json): number[] {
  const counts = numbersAt(one, "input.counts");
  const middles = numbersAt(one, "input.binCentresDegrees");
  const grouped = middles.flatMap((degree, bin) => new Array<number>(counts[bin] ?? 0).fill(degree));
  return [...numbersAt(one, "input.degrees"), ...grouped];
}

function rayleighCases(json: Json): Evaluated[] {
  return casesOf(json).flatMap((one) => {
    const id = String(at(one, "id"));
    const found = rayleigh(degreesOf(one).map((degree) => (degree / 180) * Math.PI));
    const { n, rBar, z, meanDirection, pSeries, pZar, pLarge } = found;
    const expected = at(one, "expected") ?? null;
    const actual = { n, rBar, z, meanDirection, pCircularPackage: pSeries, pZarApprox: pZar, pLargeSample: pLarge };
    const plain = { id, expected, actual, tolerance: numberAt(json, "tolerance"), skip: ["note", "pExactKluyver"] };
    const exact = at(one, "expected.pExactKluyver");
    const rest: Evaluated[] = [];
    if (exact !== undefined) {
      // The file gives the numerical integral a tolerance of its own.
      const kluyver = rayleighExact(n, n * rBar);
      rest.push({ id: `${id} exact`, expected: exact, actual: kluyver, tolerance: numberAt(json, "toleranceExact") });
    }
    if (at(one, "expected.note") !== undefined)
      rest.push({ id: `${id} p`, expected: 1, actual: found.p, tolerance: 1e-9 });
    return [plain, ...rest];
  });
}

function harmonicCases(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const counts = numbersAt(one, "input.counts");
    const exposure = numbersAt(one, "input.exposureDays");
    const angles = numbersAt(one, "input.month").map((month) => MIDDLES[month - 1] ?? Number.NaN);
    const years = numbersAt(one, "input.trendYears");
    const harmonics = numberAt(one, "input.harmonics");
    const trend = years.length > 0 ? { trend: years } : {};
    const found = harmonicPoisson({ counts, exposure, angles, harmonics, ...trend });
    const actual = found && {
      ...found,
      coef: found.fit.coefficients,
      se: found.fit.standardErrors,
      deviance: found.fit.deviance,
      dispersion: found.fit.dispersion,
      logLik: found.fit.logLikelihood,
      score: scoreOf({ counts, exposure, angles, harmonics }),
    };
    const expected = at(one, "expected") ?? null;
    return { id: String(at(one, "id")), expected, actual, tolerance: numberAt(json, "tolerance"), skip: ["names"] };
  });
}

type Cells = { counts: number[]; exposure: number[]; angles: number[]; harmonics: number };

/** Score statistic of grouped counts: as the weighted Rayleigh, with the exposure as point masses at mid-month. */
function scoreOf({ counts, exposure, angles, harmonics }: Cells) {
  if (harmonics !== 1) return scoreOfTwo({ counts, exposure, angles });
  const statistic = pointScore({ counts, exposure, waves: [angles.map(Math.cos), angles.map(Math.sin)] });
  return { statistic, df: 2, p: chiSquareUpper(statistic, 2) };
}

function scoreOfTwo({ counts, exposure, angles }: Omit<Cells, "harmonics">) {
  const twice = angles.map((angle) => 2 * angle);
  const waves = [angles.map(Math.cos), angles.map(Math.sin), twice.map(Math.cos), twice.map(Math.sin)];
  const statistic = pointScore({ counts, exposure, waves });
  return { statistic, df: 4, p: chiSquareUpper(statistic, 4) };
}

function pointScore({ counts, exposure, waves }: { counts: number[]; exposure: number[]; waves: number[][] }): number {
  const total = exposure.reduce((sum, days) => sum + days, 0);
  const events = counts.reduce((sum, count) => sum + count, 0);
  const mean = (values: readonly number[]) => values.reduce((sum, v, i) => sum + v * (exposure[i] ?? 0), 0) / total;
  const means = waves.map(mean);
  const d = waves.map((wave, k) => wave.reduce((sum, v, i) => sum + (v - (means[k] ?? 0)) * (counts[i] ?? 0), 0));
  const v = waves.map((a, j) =>
    waves.map((b, k) => mean(a.map((x, i) => x * (b[i] ?? 0))) - (means[j] ?? 0) * (means[k] ?? 0)),
  );
  return solveSymmetric(v, d).reduce((sum, x, k) => sum + (x * (d[k] ?? 0)) / events, 0);
}

function seasonalCases(json: Json): Evaluated[] {
  return casesOf(json).map((one) => {
    const angles = numbersAt(one, "input.yearFraction").map((share) => FULL_TURN * share);
    const exposure = numbersAt(one, "input.monthExposureDays");
    const counts = numbersAt(one, "input.monthCounts");
    const weighted = exposureWeightedRayleigh({ angles, exposure, edges: EDGES });
    const circle = circleExposure(exposure, EDGES);
    const plain = angles.length === 0 ? null : rayleigh(angles);
    const months = exposureChiSquare({ counts, exposure });
    const seen = exposure.flatMap((days, month) => (days > 0 ? [month] : []));
    const pick = (values: readonly number[]) => seen.map((month) => values[month] ?? Number.NaN);
    const cells = { counts: pick(counts), exposure: pick(exposure), angles: pick(MIDDLES), harmonics: 1 };
    const wave = at(one, "expected.harmonic") === undefined ? null : harmonicPoisson(cells);
    const [intercept, cos, sin] = wave?.fit.coefficients ?? [];
    const actual = {
      n: weighted.n,
      exposureMeanCos: circle.meanCos,
      exposureMeanSin: circle.meanSin,
      weightedScore: weighted.q,
      pWeightedChi2: weighted.p,
      peakAngle: weighted.peakAngle,
      rBar: plain?.rBar,
      meanDirection: plain?.meanDirection,
      rayleighZ: plain?.z,
      pRayleighZar: plain?.pZar,
      pRayleighSeries: plain?.pSeries,
      chiSquare: months.chiSquare,
      chiSquareDf: months.df,
      pChiSquare: months.p,
      harmonic: wave && { ...wave, intercept, cos, sin },
    };
    const expected = at(one, "expected") ?? null;
    return { id: String(at(one, "id")), expected, actual, tolerance: numberAt(json, "tolerance") };
  });
}

export const seasonKinds: readonly Kind[] = [
  {
    name: "Rayleigh test",
    prefixes: ["rayleigh"],
    looksLike: (json) => at(casesOf(json)[0], "input.degrees") !== undefined,
    evaluate: rayleighCases,
  },
  {
    name: "harmonic Poisson regression",
    prefixes: ["harmonic_poisson"],
    looksLike: (json) => at(casesOf(json)[0], "input.harmonics") !== undefined,
    evaluate: harmonicCases,
  },
  {
    name: "season of one unit",
    prefixes: ["cases_seasonal"],
    looksLike: (json) => at(casesOf(json)[0], "input.yearFraction") !== undefined,
    evaluate: seasonalCases,
  },
];
