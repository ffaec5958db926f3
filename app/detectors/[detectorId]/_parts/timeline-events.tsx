import type { Frame } from "@/app/detectors/[detectorId]/_parts/timeline-lanes";
import type { Event } from "@/lib/records/event";
import type { Condition, Task } from "@/lib/records/vocabulary";
import type { TimelineView } from "@/lib/services/detector-timeline";

const rows: readonly { readonly condition: Condition; readonly label: string }[] = [
  { condition: "fault", label: "faults" },
  { condition: "fire", label: "fires" },
  { condition: "disablement", label: "disabled" },
  { condition: "test", label: "tests" },
];

const taskLetters: Record<Task, string> = {
  clean: "C",
  realign: "R",
  filter_test: "F",
  block_test: "B",
  repair: "M",
  replace: "N",
  survey: "S",
};
const changesSignal: readonly Task[] = ["clean", "realign", "repair", "replace"];

/** Panel events by condition and the work below them, on the shared axis of time. */
export function EventRows({ frame, view, top }: { frame: Frame; view: TimelineView; top: number }) {
  const middle = (index: number) => top + index * frame.rowHeight + frame.rowHeight / 2;
  const workY = middle(rows.length);
  return (
    <g>
      {view.work
        .filter(({ task }) => changesSignal.includes(task))
        .map(({ doneAt, task }) => (
          <line
            key={`${doneAt}-${task}`}
            x1={frame.x(doneAt)}
            x2={frame.x(doneAt)}
            y1={22}
            y2={workY - 8}
            stroke="var(--accent)"
            strokeDasharray="1 4"
            strokeLinecap="round"
            strokeWidth={1.5}
          />
        ))}
      {rows.map(({ condition, label }, index) => (
        <g key={condition}>
          <RowLabel frame={frame} y={middle(index)} label={label} />
          {view.events
            .filter((event) => event.condition === condition)
            .map((event) => (
              <EventMark key={`${event.beganAt}`} event={event} frame={frame} y={middle(index)} asOf={view.asOf} />
            ))}
        </g>
      ))}
      <RowLabel frame={frame} y={workY} label="work" />
      {view.work.map(({ doneAt, task }) => (
        <text
          key={`${doneAt}-${task}`}
          x={frame.x(doneAt)}
          y={workY + 4}
          fontSize={frame.fontSize}
          fontWeight={600}
          textAnchor="middle"
          fill="var(--accent)"
        >
          {taskLetters[task]}
        </text>
      ))}
    </g>
  );
}

function RowLabel({ frame, y, label }: { frame: Frame; y: number; label: string }) {
  return (
    <>
      <line x1={frame.left} x2={frame.right} y1={y} y2={y} stroke="var(--rule)" />
      <text x={frame.left - 8} y={y + 4} fontSize={frame.fontSize} fill="var(--ink)" textAnchor="end">
        {label}
      </text>
    </>
  );
}

function EventMark({ event, frame, y, asOf }: { event: Event; frame: Frame; y: number; asOf: number }) {
  const from = Math.max(frame.left, frame.x(event.beganAt));
  const to = frame.x(event.endedAt ?? (event.condition === "disablement" ? asOf : event.beganAt));
  if (event.condition === "fire") return <FireMark verdict={event.verdict} x={from} y={y} />;
  const tall = event.condition === "fault";
  return (
    <rect
      x={from}
      y={tall ? y - 7 : y - 3}
      width={Math.max(1.5, to - from)}
      height={tall ? 14 : 6}
      fill={tall ? "var(--worse)" : "var(--soft)"}
    />
  );
}

function FireMark({ verdict, x, y }: { verdict: Event["verdict"]; x: number; y: number }) {
  if (verdict === "genuine") return <circle cx={x} cy={y} r={4.5} fill="var(--ink)" />;
  if (verdict === "good_intent" || verdict === "malicious") {
    return (
      <path d={`M${x} ${y - 5}L${x + 5} ${y}L${x} ${y + 5}L${x - 5} ${y}Z`} fill="var(--paper)" stroke="var(--ink)" />
    );
  }
  const judged = verdict === "unwanted" || verdict === "equipment";
  return (
    <circle
      cx={x}
      cy={y}
      r={4.5}
      fill="var(--paper)"
      stroke="var(--ink)"
      strokeWidth={1.5}
      strokeDasharray={judged ? undefined : "2 2"}
    />
  );
}
