import { backtestJson as jsonOf } from "@/lib/report/backtest-json";
import { backtestText as textOf } from "@/lib/report/backtest-text";
import type { BacktestedFleet } from "@/lib/services/backtest-fleet";

/** A backtest for a terminal: what each way of choosing held, calibration, coverage and scores. */
export function backtestText({ result }: BacktestedFleet): string {
  return textOf(result);
}

/** Everything a backtest says, as JSON text. */
export function backtestJson({ result }: BacktestedFleet): string {
  return jsonOf(result);
}
