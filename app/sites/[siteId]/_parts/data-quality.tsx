import { DataBehind } from "@/app/_parts/data-behind";
import { QualityNotes } from "@/app/_parts/quality-notes";
import { counted } from "@/app/_parts/words";
import type { QualityCheck, QualityKind, QualityNote, SiteQuality } from "@/lib/analyse/quality/quality";

const kindNames: Readonly<Record<QualityKind, string>> = {
  last_data: "Last data",
  never_reports: "Detectors that never report",
  gaps: "Gaps",
  late_files: "Late files",
  clock: "Clock",
  stuck: "Repeated values",
  unrecorded_work: "Work not on record",
};

const outcomeWords = { fine: "nothing to tell", found: "told above", too_little_data: "cannot say" } as const;
const MOST_SHOWN = 6;

/** What is wrong with the records of the site, serious things first, and every check with its rule behind. */
export function DataQuality({ quality }: { quality: SiteQuality | undefined }) {
  if (quality === undefined) {
    return <p className="font-serif">The records were not looked at in this analysis. Analyse again to see it here.</p>;
  }
  const notes = quality.checks.flatMap((check) => check.notes);
  const ordered = [...notes.filter(({ serious }) => serious), ...notes.filter(({ serious }) => !serious)];
  return (
    <>
      <p className="mb-4 max-w-[64ch] font-serif text-pretty">
        {quality.sentence} {lastSentence(quality)}
      </p>
      <QualityNotes notes={ordered.slice(0, MOST_SHOWN)} linked />
      {ordered.length > MOST_SHOWN ? <MoreNotes notes={ordered.slice(MOST_SHOWN)} /> : null}
      <DataBehind summary="What was looked at, and by which rule">
        <dl className="max-w-[66ch]">
          {quality.checks.map((check) => (
            <Check key={check.kind} check={check} />
          ))}
        </dl>
      </DataBehind>
    </>
  );
}

// Freshness is worth a sentence also where nothing is wrong with it.
function lastSentence({ checks }: SiteQuality): string {
  const last = checks.find(({ kind }) => kind === "last_data");
  return last && last.notes.length === 0 ? last.sentence : "";
}

function MoreNotes({ notes }: { notes: readonly QualityNote[] }) {
  return (
    <DataBehind summary={`${counted(notes.length, "further note")}`}>
      <QualityNotes notes={notes} linked />
    </DataBehind>
  );
}

function Check({ check: { kind, outcome, sentence, rule, looked } }: { check: QualityCheck }) {
  return (
    <div className="border-t border-rule py-3">
      <dt className="font-semibold">
        {kindNames[kind]}: <span className="font-normal text-soft">{outcomeWords[outcome]}</span>
      </dt>
      <dd>{sentence}</dd>
      <dd className="text-soft">{rule}</dd>
      <dd className="text-soft">Looked at: {looked}.</dd>
    </div>
  );
}
