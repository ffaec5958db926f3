import type { Format } from "@/app/_parts/format";
import { Section } from "@/app/_parts/section";
import { Table } from "@/app/_parts/table";
import { kinds, kindTitles } from "@/app/proof/_parts/kinds";
import type { Coverage, JudgedKind, LogScores } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

const rules: readonly (readonly [keyof Omit<LogScores, "forecasts">, string])[] = [
  ["ours", "This forecast"],
  ["oursAsPoisson", "Its mean alone, as a Poisson count"],
  ["pooledRate", "The fleet’s rate for everyone"],
  ["ownRate", "Own rate of 12 months"],
  ["lastYear", "Last year’s count in the same weeks"],
];

/** Whether intervals keep their word, and the log score of the forecast beside simple ones. */
export function ScoresSection({ view, format }: { view: ReadyProof; format: Format }) {
  const { calibration, scores, origins, forecastReport = [] } = view.result;
  const byMonth = (kind: JudgedKind) =>
    origins.map(({ counts }) => shareOf(counts[kind].coverage)).filter((share) => share !== null);
  return (
    <Section
      id="scores"
      title="Do the intervals keep their word, and is there a better guess?"
      note="The log score is the mean of −ln of the chance a forecast gave to what came: the lower, the better. Whole numbers cover more than they claim, since an interval of nought to nought already holds most quiet detectors."
    >
      <h3 className="mb-2 font-serif text-lg">Prediction intervals</h3>
      <Table
        caption="Coverage of the 90 % prediction intervals"
        columns={[
          { key: "kind", label: "90 % intervals of" },
          { key: "coverage", label: "Held what came", align: "end" },
          { key: "months", label: "Worst to best month", align: "end" },
          { key: "of", label: "Intervals", align: "end" },
        ]}
        rows={kinds.map((kind) => ({
          key: kind,
          cells: [
            kindTitles[kind],
            orCannotSay(shareOf(calibration[kind].coverage), format),
            rangeOf(byMonth(kind), format),
            format.number(calibration[kind].coverage.of),
          ],
        }))}
      />
      <div className="mt-8">
        <h3 className="mb-2 font-serif text-lg">Log scores</h3>
        <Table
          caption="Mean log score of the forecast and of simple rules"
          columns={[
            { key: "rule", label: "Log score of" },
            ...kinds.map((kind) => ({ key: kind, label: kindTitles[kind], align: "end" as const })),
          ]}
          rows={rules.map(([key, words]) => ({
            key,
            cells: [words, ...kinds.map((kind) => scoreText(scores[kind], { key, format }))],
          }))}
        />
      </div>
      {forecastReport.map(({ kind, sentence, parts }) => (
        <div key={kind} className="mt-8">
          <p className="mb-3 max-w-[60ch]">{sentence}</p>
          {parts.length === 0 ? null : (
            <Table
              caption={`Parts of the forecast of ${kind.replaceAll("_", " ")}`}
              columns={[
                { key: "part", label: `Parts of the forecast, ${kind.replaceAll("_", " ")}` },
                { key: "score", label: "Log score", align: "end" },
              ]}
              rows={parts.map(({ name, score }) => ({
                key: name,
                cells: [name, format.number(score, { digits: 4, fixed: true })],
              }))}
            />
          )}
        </div>
      ))}
    </Section>
  );
}

function scoreText(scores: LogScores | null, { key, format }: { key: keyof LogScores; format: Format }): string {
  return scores === null ? "cannot say" : format.number(scores[key], { digits: 4, fixed: true });
}

function shareOf({ inside, of }: Coverage): number | null {
  return of > 0 ? inside / of : null;
}

function orCannotSay(share: number | null, format: Format): string {
  return share === null ? "cannot say" : format.share(share, { digits: 1 });
}

function rangeOf(shares: readonly number[], format: Format): string {
  if (shares.length === 0) return "cannot say";
  return `${orCannotSay(Math.min(...shares), format)} to ${orCannotSay(Math.max(...shares), format)}`;
}
