import type { BacktestResult } from "@/lib/rank/backtest/backtest-result";
import { printed } from "@/lib/report/rounding";

/**
 * A backtest as JSON text, two spaces deep, with a line end: moments in ISO 8601, money in minor units, shares of one,
 * numbers to 12 significant digits; the same data give the same bytes.
 */
export function backtestJson(result: BacktestResult): string {
  const { origins, knownUntil, ...rest } = result;
  const shown = {
    knownUntil: new Date(knownUntil).toISOString(),
    ...rest,
    origins: origins.map(({ asOf, ...origin }) => ({ asOf: new Date(asOf).toISOString(), ...origin })),
  };
  return `${JSON.stringify(shown, rounded, 2)}\n`;
}

function rounded(_key: string, value: unknown): unknown {
  return typeof value === "number" ? printed(value) : value;
}
