import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { kindWords } from "@/app/detectors/_parts/words";
import { FindingPicture } from "@/app/detectors/[detectorId]/_parts/finding-picture";
import type { Effect, Finding } from "@/lib/analyse/finding";
import type { DetectorView } from "@/lib/services/show-detector";

/** One finding: its sentence, its picture, how sure it is, and the numbers behind it. */
export function FindingSection({ finding, view, format }: { finding: Finding; view: DetectorView; format: Format }) {
  const { kind, sentence, facts, effect, pValue, qValue, threat, limitedBy = [] } = finding;
  return (
    <article aria-label={kindWords(kind)} className="mb-10 last:mb-0">
      <h3 className="text-sm text-soft">
        {kindWords(kind)}
        {threat ? `, threat: ${threat}` : ""}
      </h3>
      <p className="mt-1 max-w-[52ch] font-serif text-xl leading-8 text-pretty">{sentence}</p>
      {limitedBy.length > 0 ? (
        <p className="mt-2 max-w-[66ch] text-sm text-pretty">
          <strong>Limited by the data.</strong> {limitedBy.join(" ")}
        </p>
      ) : null}
      <div className="mt-6 grid gap-x-10 gap-y-6 lg:grid-cols-[minmax(0,1fr)_17rem]">
        <div className="min-w-0">
          <FindingPicture finding={finding} view={view} format={format} />
        </div>
        <dl className="self-start text-sm">
          <Line label="Effect" value={effectWords(effect, format)} />
          <Line
            label="p value"
            value={probabilityWords(pValue, format)}
            note="chance of as much or more if nothing were wrong"
          />
          <Line
            label="q value"
            value={probabilityWords(qValue, format)}
            note={`inside the false-discovery limit of ${format.share(view.falseDiscoveryLimit, { digits: 1 })} over the fleet`}
          />
          {facts.map((fact) => (
            <Line key={fact.label} label={fact.label} value={fact.value} />
          ))}
        </dl>
      </div>
    </article>
  );
}

/** What was tested, whatever came of it, and with which outcome. */
export function TestsBehind({ view, format }: { view: DetectorView; format: Format }) {
  const result = view.row?.result;
  if (!result) return null;
  const listed = new Set(result.findings.map(({ kind }) => kind));
  return (
    <DataBehind summary="What was tested, and how">
      <p className="mb-3 max-w-[66ch] text-soft">
        Each kind is tested on every detector that has enough data. A result becomes a finding only inside the
        false-discovery limit over the whole fleet ({format.share(view.falseDiscoveryLimit, { digits: 1 })}), so that
        many detectors do not make many chance findings.
      </p>
      <dl className="max-w-[66ch]">
        {Object.entries(result.tests).map(([kind, test]) => (
          <div key={kind} className="border-t border-rule py-2">
            <dt className="font-semibold">{kindWords(kind)}</dt>
            {test.outcome === "too_little_data" ? (
              <dd className="text-soft">Too little data: {test.reason}.</dd>
            ) : (
              <dd>
                {test.sentence}{" "}
                <span className="text-soft">
                  p {probabilityWords(test.pValue, format)};{" "}
                  {listed.has(kind) ? "a finding." : "not a finding: its q value did not pass the limit."}
                </span>
              </dd>
            )}
          </div>
        ))}
      </dl>
    </DataBehind>
  );
}

function Line({ label, value, note }: { label: string; value: string; note?: string }) {
  return (
    <div className="border-t border-rule py-1.5 first:border-ink">
      <dt className="float-left mr-3 text-soft">{label}</dt>
      <dd className="text-right">
        {value}
        {note ? <span className="block clear-both text-left text-xs text-soft">{note}</span> : null}
      </dd>
    </div>
  );
}

function effectWords({ value, low, high, unit }: Effect, format: Format): string {
  const number = (end: number) => format.number(end, { digits: Math.abs(end) >= 10 ? 0 : 2 });
  const mean = value === null ? "no number" : number(value);
  const interval =
    low === null && high === null
      ? ""
      : ` (${low === null ? "no lower limit" : number(low)} to ${high === null ? "no upper limit" : number(high)})`;
  return `${mean}${interval} ${unit}`;
}

/** A probability as people read it; below one in ten thousand only that. */
function probabilityWords(value: number, format: Format): string {
  if (value < 0.0001) return `below ${format.number(0.0001, { digits: 4 })}`;
  return format.number(value, { digits: value < 0.01 ? 4 : 3 });
}
