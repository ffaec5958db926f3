import { scoredKinds } from "@/tests/adversary/score";
import { total } from "@/tests/adversary/score-parts";
import { rounded } from "@/tests/bench/proportion";
import { quantities, type SeedLine } from "@/tests/bench/ranking-figures";

/** A target beside what was measured, what counting with every cause known attains, and the one who knows the rates. */
export type Target = {
  readonly target: string;
  readonly least: number | null;
  readonly most: number | null;
  readonly value: number | null;
  readonly met: boolean;
  readonly attainable: number | null;
  readonly oracle: number | null;
};

/** What all seeds say together: figures as means of the seeds, tenths and false discovery from pooled counts. */
export function rankingSummary(lines: readonly SeedLine[]) {
  const names = Object.keys(lines[0]?.figures ?? {});
  const figures = new Map(names.map((name) => [name, meanOf(lines, name)]));
  const mean = (name: string) => figures.get(name) ?? null;
  return {
    summary: "ranking" as const,
    seeds: lines.length,
    figures: Object.fromEntries(figures),
    tenths: Object.fromEntries(quantities.map((name) => [name, pooledTenths(lines, name)])),
    targets: [
      ...captureTargets(lines, mean),
      ...(["faults", "alarms"] as const).flatMap((name) => countTargets(name, { lines, mean })),
      ...scoredKinds.map((kind) => falseTarget(lines, kind)),
    ],
  };
}

/** The summary's shape. */
export type RankingSummary = ReturnType<typeof rankingSummary>;

function captureTargets(lines: readonly SeedLine[], mean: (name: string) => number | null): Target[] {
  const over = (above: string, below: string) => meanRatio(lines, above, below);
  const [known, perfect, faults] = [
    "with the cause of every episode known",
    "with perfect knowledge",
    "in the top 5 % by most faults",
  ];
  return [
    judged("avoidable cost captured over most faults", mean("ours over most faults"), {
      least: 1.5,
      attainable: over(known, faults),
      oracle: over(perfect, faults),
    }),
    judged("avoidable cost captured of perfect knowledge", mean("ours of perfect"), {
      least: 0.72,
      attainable: over(known, perfect),
      oracle: 1,
    }),
    judged("true net of our visits of the clairvoyant's", mean("true net of our visits of the clairvoyant's"), {
      least: 0.55,
      attainable: mean("the same with every cause known"),
      oracle: 1,
    }),
    judged("right task", mean("right task, within 5 % of cost"), { least: 0.95, oracle: 1 }),
  ];
}

function countTargets(
  name: "faults" | "alarms",
  { lines, mean }: { lines: readonly SeedLine[]; mean: (name: string) => number | null },
): Target[] {
  const tenths = pooledTenths(lines, name);
  const sum = (key: "predicted" | "expected" | "realised") => total(tenths, (tenth) => tenth[key]);
  const ends = (key: "predicted" | "expected") => {
    const ratios = tenths.map((tenth) => tenth[key] / tenth.realised);
    return { lowest: Math.min(...ratios), highest: Math.max(...ratios) };
  };
  return [
    judged(`${name}: predicted over realised`, sum("predicted") / sum("realised"), {
      least: 0.9,
      most: 1.1,
      oracle: sum("expected") / sum("realised"),
    }),
    judged(`${name}: lowest of the tenths`, ends("predicted").lowest, { least: 0.7, oracle: ends("expected").lowest }),
    judged(`${name}: highest of the tenths`, ends("predicted").highest, {
      most: 1.4,
      oracle: ends("expected").highest,
    }),
    judged(`${name}: 90 % interval holds`, mean(`${name}: 90 % interval holds`), {
      least: 0.85,
      most: 0.95,
      oracle: mean(`${name}: the oracle's interval holds`),
    }),
  ];
}

function falseTarget(lines: readonly SeedLine[], kind: string): Target {
  const listed = total(lines, ({ findings }) => findings[kind]?.listed ?? 0);
  const wrong = total(lines, ({ findings }) => findings[kind]?.wrong ?? 0);
  return judged(`${kind}: false among listed`, listed > 0 ? wrong / listed : 0, { most: 0.05, oracle: 0 });
}

function judged(
  target: string,
  value: number | null,
  { least = null, most = null, attainable = null, oracle = null }: Partial<Omit<Target, "target" | "value" | "met">>,
): Target {
  const short = (figure: number | null) => (figure === null || !Number.isFinite(figure) ? null : rounded(figure));
  const met = value !== null && value >= (least ?? -Infinity) && value <= (most ?? Infinity);
  return { target, least, most, value: short(value), met, attainable: short(attainable), oracle: short(oracle) };
}

function meanOf(lines: readonly SeedLine[], name: string): number | null {
  const known = lines.flatMap(({ figures }) => figures[name] ?? []);
  return known.length > 0 ? rounded(total(known, (value) => value) / known.length) : null;
}

function meanRatio(lines: readonly SeedLine[], above: string, below: string): number | null {
  const ratios = lines.flatMap(({ figures }) => {
    const [part, whole] = [figures[above] ?? null, figures[below] ?? null];
    return part !== null && whole !== null && whole > 0 ? [part / whole] : [];
  });
  return ratios.length > 0 ? total(ratios, (ratio) => ratio) / ratios.length : null;
}

function pooledTenths(lines: readonly SeedLine[], name: (typeof quantities)[number]) {
  return Array.from({ length: 10 }, (_, place) => {
    const sum = (key: "predicted" | "expected" | "realised") =>
      rounded(total(lines, ({ tenths }) => tenths[name][place]?.[key] ?? 0));
    return { predicted: sum("predicted"), expected: sum("expected"), realised: sum("realised") };
  });
}
