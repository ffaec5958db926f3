import type { Format } from "@/app/_parts/format";
import { BeamLegend } from "@/app/_parts/marks/beam-legend";
import { BeamStrip } from "@/app/_parts/marks/beam-strip";
import { accessWords, formWords } from "@/app/_parts/words";
import { attenuationDb } from "@/lib/kernel/units";
import type { DetectorView } from "@/lib/services/show-detector";

/** The detector as its beam, and what it is. */
export function Identity({ view, format }: { view: DetectorView; format: Format }) {
  const { detector, row, timeline } = view;
  const record = row?.result.record;
  return (
    <div className="mb-12">
      <BeamStrip
        label={detector.detectorId}
        beam={{
          form: detector.form,
          pathLengthM: detector.pathLengthM,
          latestSignalPct: record?.latestSignalPct ?? null,
          faultEpisodes: record?.faultEpisodes ?? [],
          alarmEpisodes: record?.alarmEpisodes ?? [],
          threat: record?.threat ?? null,
        }}
        longestM={detector.pathLengthM}
        asOf={timeline.asOf}
      />
      <div className="mt-2">
        <BeamLegend />
      </div>
      <dl className="mt-6 grid grid-cols-2 gap-x-8 gap-y-3 border-t border-rule pt-4 text-sm sm:grid-cols-3 lg:grid-cols-6">
        {factsOf(view, format).map(([label, value]) => (
          <div key={label}>
            <dt className="text-soft">{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {record?.notes.length ? (
        <p className="mt-4 text-sm text-soft">What limits what can be said: {record.notes.join("; ")}.</p>
      ) : null}
    </div>
  );
}

function factsOf({ detector, site, row }: DetectorView, format: Format): [string, string][] {
  const record = row?.result.record;
  const number = (value: number) => format.number(value, { digits: 1 });
  const signal = record?.latestSignalPct ?? null;
  const readAt = record?.latestReadAt ?? null;
  return [
    ["Signal", signal === null ? "no reading" : `${number(signal)} % (${dbOf(signal, format)})`],
    ["Read", readAt === null ? "never" : format.moment(readAt, site.timeZone)],
    ["Alarm threshold", `${number(detector.alarmThresholdPct)} % obscuration`],
    ["Path", `${number(detector.pathLengthM)} m, ${formWords[detector.form]}`],
    ["Height, access", `${number(detector.heightM)} m, ${accessWords[detector.access]}`],
    ["Bearing", `${format.number(detector.bearingDeg)}° from the head`],
    ["In service since", format.day(detector.installedOn)],
    ["Last functional test", record?.lastTestOn ? format.day(record.lastTestOn) : "none on record"],
    ["Observed", record ? `${format.number(record.observedDays)} days` : "not analysed"],
    ["Faults, all and last year", record ? `${record.faultsAll}, ${record.faultEpisodes.length}` : "not analysed"],
    [
      "Unwanted alarms, all and last year",
      record ? `${record.alarmsAll}, ${record.alarmEpisodes.length}` : "not analysed",
    ],
    ["Zone and hall", [detector.zone, detector.environment].filter((part) => part !== null).join(", ") || "not given"],
  ];
}

function dbOf(signalPct: number, format: Format): string {
  const db = attenuationDb(signalPct);
  return db === null ? "no light" : `${format.number(db, { digits: 2 })} dB`;
}
