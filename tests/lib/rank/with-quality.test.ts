import { describe, expect, it } from "vitest";
import type { QualityKind, QualityNote, SiteQuality } from "@/lib/analyse/quality/quality";
import { seriousInShort } from "@/lib/analyse/quality/serious-in-short";
import { withQuality } from "@/lib/rank/with-quality";
import { makeAnalysis } from "@/tests/fixtures/analysis-result";

const note = (changes: Partial<QualityNote>): QualityNote => ({
  kind: "clock",
  detectorId: null,
  serious: true,
  short: "clock jumped by 60 minutes",
  sentence: "The clock jumped.",
  startAt: null,
  endAt: null,
  limits: [],
  ...changes,
});

function qualityWith(siteId: string, notes: readonly QualityNote[]): SiteQuality {
  const kinds = [...new Set(notes.map(({ kind }) => kind))];
  const checkOf = (kind: QualityKind) => ({
    kind,
    outcome: "found" as const,
    sentence: "",
    rule: "",
    looked: "",
    notes: notes.filter((one) => one.kind === kind),
  });
  return { siteId, sentence: "", serious: notes.filter(({ serious }) => serious).length, checks: kinds.map(checkOf) };
}

describe("quality beside an answer", () => {
  const { result } = makeAnalysis();
  const found = result.detectors.find(({ findings }) => findings.length > 0);
  const kind = found?.findings[0]?.kind ?? "";
  const siteId = found?.siteId ?? "";
  const mate = result.detectors.find((one) => one.siteId === siteId && one !== found);
  const notes = [
    note({ kind: "stuck", detectorId: mate?.detectorId ?? "", sentence: "The neighbour stuck.", limits: [kind] }),
    note({ kind: "late_files", serious: false, sentence: "A file was late." }),
    note({ sentence: "The clock jumped.", limits: [kind] }),
  ];
  const answer = withQuality(result, new Map([[siteId, qualityWith(siteId, notes)]]));
  const same = answer.detectors.find(({ detectorId }) => detectorId === found?.detectorId);

  it("names at a finding what limits its kind at its site, and nothing of its neighbours", () => {
    expect(same?.findings[0]?.limitedBy).toEqual(["The clock jumped."]);
  });

  it("puts serious notes first at the detector, with those of its site but not of its neighbours", () => {
    expect(same?.quality?.map(({ sentence }) => sentence)).toEqual(["The clock jumped.", "A file was late."]);
  });

  it("moves no order, no amount and no probability, and leaves sites nobody looked at as they were", () => {
    expect(answer.detectors.map(({ rank, visit, detectorId }) => [rank, visit, detectorId])).toEqual(
      result.detectors.map(({ rank, visit, detectorId }) => [rank, visit, detectorId]),
    );
    expect(same?.findings.map(({ limitedBy: _limited, ...finding }) => finding)).toEqual(found?.findings);
    const others = (sites: typeof result.sites) => sites.filter((site) => site.siteId !== siteId);
    expect(others(answer.sites)).toEqual(others(result.sites));
  });
});

describe("what is seriously wrong in a few words", () => {
  it("counts detectors, and tells the gap of a site that fell silent only once", () => {
    const quality = qualityWith("S1", [
      note({ kind: "last_data", short: "silent for 9 days" }),
      note({ kind: "gaps", short: "no readings for 9 of 90 days" }),
      note({ kind: "stuck", detectorId: "D1" }),
      note({ kind: "stuck", detectorId: "D1" }),
      note({ kind: "stuck", detectorId: "D2" }),
      note({ kind: "late_files", serious: false, short: "a file came 5 days late" }),
    ]);
    expect(seriousInShort(quality)).toEqual(["silent for 9 days", "2 detectors repeating one value"]);
  });
});
