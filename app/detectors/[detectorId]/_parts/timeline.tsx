import type { Format } from "@/app/_parts/format";
import { EventRows } from "@/app/detectors/[detectorId]/_parts/timeline-events";
import { type Frame, frameOf, SeriesLane, TimeAxis } from "@/app/detectors/[detectorId]/_parts/timeline-lanes";
import type { TimelineView } from "@/lib/services/detector-timeline";

/** Signal, compensation, temperature, events, work and forecast on one axis of time; drawn for three widths. */
export function Timeline({ view, format }: { view: TimelineView; format: Format }) {
  return (
    <>
      <div className="hidden lg:block">
        <TimelineDrawing view={view} format={format} width={960} idPrefix="desk" />
      </div>
      <div className="hidden sm:block lg:hidden">
        <TimelineDrawing view={view} format={format} width={680} idPrefix="tablet" />
      </div>
      <div className="sm:hidden">
        <TimelineDrawing view={view} format={format} width={360} idPrefix="phone" />
      </div>
      <Legend hasForecast={view.forecast.length > 0} />
    </>
  );
}

function TimelineDrawing({
  view,
  format,
  width,
  idPrefix,
}: {
  view: TimelineView;
  format: Format;
  width: number;
  idPrefix: string;
}) {
  const frame = frameOf(view, { width });
  const compensation = view.days.flatMap(({ at, compensationPct: pct }) =>
    pct === null ? [] : [{ at, low: pct, mid: pct, high: pct }],
  );
  const temperature = view.days.flatMap(({ at, temperatureC: mean }) =>
    mean === null ? [] : [{ at, low: mean, mid: mean, high: mean }],
  );
  const lanes = lanesOf(frame, { compensation: compensation.length > 0, temperature: temperature.length > 0 });
  const titleId = `${idPrefix}-timeline`;
  return (
    <svg viewBox={`0 0 ${width} ${lanes.height}`} width="100%" role="img" aria-labelledby={titleId} className="block">
      <title id={titleId}>{describe(view, format)}</title>
      <TimeAxis frame={frame} view={view} format={format} height={lanes.height} />
      <SeriesLane
        frame={frame}
        title="signal"
        unit="%"
        top={lanes.signal}
        height={lanes.signalHeight}
        samples={view.days.map(({ at, signal }) => ({ at, ...signal }))}
        include={[view.alarmSignalPct, 100]}
        limit={{ value: view.alarmSignalPct, label: `alarm threshold, ${format.number(view.alarmSignalPct)} %` }}
        forecast={view.forecastOf === "signal" ? view.forecast : []}
      />
      {lanes.compensation === null ? null : (
        <SeriesLane
          frame={frame}
          title="compensation used"
          unit="%"
          top={lanes.compensation}
          height={lanes.smallHeight}
          samples={compensation}
          include={[0, 100]}
          limit={{ value: 100, label: "range used up" }}
          forecast={view.forecastOf === "compensation" ? view.forecast : []}
        />
      )}
      {lanes.temperature === null ? null : (
        <SeriesLane
          frame={frame}
          title="temperature"
          unit="°C"
          top={lanes.temperature}
          height={lanes.smallHeight}
          samples={temperature}
          include={[]}
          limit={null}
          forecast={[]}
        />
      )}
      <EventRows frame={frame} view={view} top={lanes.events} />
    </svg>
  );
}

const AXIS_HEIGHT = 26;
const TITLE_HEIGHT = 22;
const EVENT_ROWS = 5;

function lanesOf(frame: Frame, has: { compensation: boolean; temperature: boolean }) {
  const signalHeight = frame.narrow ? 130 : 170;
  const smallHeight = 56;
  const signal = AXIS_HEIGHT + TITLE_HEIGHT;
  let below = signal + signalHeight;
  const next = (shown: boolean) => {
    if (!shown) return null;
    const top = below + TITLE_HEIGHT + 6;
    below = top + smallHeight;
    return top;
  };
  const compensation = next(has.compensation);
  const temperature = next(has.temperature);
  const events = below + 18;
  const height = events + EVENT_ROWS * frame.rowHeight + 4;
  return { signal, signalHeight, smallHeight, compensation, temperature, events, height };
}

function describe(view: TimelineView, format: Format): string {
  const day = (at: number) => format.dayOf(at, view.timeZone);
  const parts = [
    `Timeline from ${day(view.fromAt)} to ${day(view.toAt)}.`,
    view.days.length === 0 ? "No readings." : `${view.days.length} days with readings.`,
    `${view.events.length} panel events and ${view.work.length} work records.`,
    view.forecast.length > 0 ? "A forecast follows the day of the analysis." : "",
  ];
  return parts.filter((part) => part !== "").join(" ");
}

function Legend({ hasForecast }: { hasForecast: boolean }) {
  return (
    <p className="mt-3 max-w-[80ch] text-sm text-soft text-pretty">
      The line is each day’s median, the band its lowest and highest reading. Dotted uprights are work that changes the
      signal. In the row of fires an open ring is a false alarm of the detector, a lozenge one made by people, a full
      dot a genuine fire, a broken ring not yet judged. Work: C clean, R realign, F filter test, B block test, M repair,
      N replace, S survey.
      {hasForecast ? " Right of the day of the analysis, the forecast with its 90 % band." : ""}
    </p>
  );
}
