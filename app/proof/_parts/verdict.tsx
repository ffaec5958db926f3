import type { Format } from "@/app/_parts/format";
import { counted } from "@/app/_parts/words";
import type { CaptureMethod, MethodCapture } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

/** The share of detectors the verdict speaks of; one of those the backtest asks at. */
const VERDICT_SHARE = 0.05;
/** Below so many events a difference of shares is mostly chance. Common practice. */
const FEW_EVENTS = 100;

/** What came out, as a title. */
export function proofTitle({ result: { capture, events } }: ReadyProof): string {
  const ours = heldAt(capture, "avoided_cost");
  const faults = heldAt(capture, "faults_12m");
  if (ours === null || faults === null) return "Nothing followed that a ranking could have caught";
  if (events.faults + events.alarms < FEW_EVENTS) return "Too little followed to judge the ranking by";
  if (ours > faults) return "The ranking caught more than counting faults";
  return ours < faults
    ? "Counting faults caught more than the ranking"
    : "The ranking caught as much as counting faults";
}

/** The verdict in plain words, and what it rests on. */
export function Verdict({ view: { result }, format }: { view: ReadyProof; format: Format }) {
  const { capture, events, origins } = result;
  const share = (method: CaptureMethod) => {
    const held = heldAt(capture, method);
    return held === null ? "nothing" : format.share(held);
  };
  const few = events.faults + events.alarms < FEW_EVENTS;
  const [faults, alarms] = [
    counted(events.faults, "own fault episode", { write: (count) => format.number(count) }),
    counted(events.alarms, "own unwanted alarm", { write: (count) => format.number(count) }),
  ];
  return (
    <>
      {heldAt(capture, "avoided_cost") === null ? (
        <p>
          In the {format.number(result.horizonDays)} days after each of these moments no detector had a fault or
          unwanted alarm of its own, so nothing can be said about the order.
        </p>
      ) : (
        <p>
          Over {counted(origins.length, "month", { write: (count) => format.number(count) })}, the{" "}
          {format.share(VERDICT_SHARE)} of detectors ranked highest by avoided cost held {share("avoided_cost")} of the
          cost that followed; most faults in 12 months held {share("faults_12m")}, drawing lots {share("random")},
          perfect foresight {share("perfect")}.
        </p>
      )}
      <p className="mt-4">
        This rests on {faults} and {alarms}
        {few ? ", which is little: another year could look different." : "."}
      </p>
    </>
  );
}

/** Share of the cost held at the verdict's share of detectors; null when no cost followed. */
export function heldAt(capture: readonly MethodCapture[], method: CaptureMethod): number | null {
  const points = capture.find((one) => one.method === method)?.points;
  return points?.find(({ share }) => share === VERDICT_SHARE)?.held ?? null;
}
