import { describe, expect, it } from "vitest";
import {
  joinedWith,
  meaningOf,
  type WordReading,
  withoutPart,
  withParts,
  withReading,
  withRule,
  withWord,
} from "@/app/imports/files/[jobId]/[position]/_parts/draft-changes";
import type { MappingDraft } from "@/lib/import/mapping/mapping";

const text = { as: "text" } as const;
const draft: MappingDraft = {
  form: 1,
  kind: "events",
  table: {},
  columns: { detector_id: { parts: [{ column: "Loop" }], read: text } },
  madeFor: ["Loop", "Address"],
};
const words: WordReading = {
  as: "words",
  match: "whole",
  words: [
    { theirs: "Fire", ours: "fire" },
    { theirs: "Fault", ours: "fault" },
  ],
  otherwise: { do: "refuse" },
};

describe("what an editor changes of a mapping", () => {
  it("is one column at a time, and the draft it was made of stays as it was", () => {
    const frozen = Object.freeze(structuredClone(draft));
    const changed = withRule(frozen, "condition", { parts: [{ text: "fault" }], read: text });
    expect(changed.columns).toEqual({ ...draft.columns, condition: { parts: [{ text: "fault" }], read: text } });
    expect(withRule(changed, "condition", null)).toEqual(draft);
    expect(frozen).toEqual(draft);
  });

  it("keeps how a column is read when it is made of other parts, and no part leaves it out", () => {
    const moment = { as: "moment", order: "day_first", zone: "site" } as const;
    const dated = withParts(draft, "began_at", { parts: [{ column: "Date" }], usual: { ...moment, order: null } });
    const chosen = withReading(dated, "began_at", moment);
    const joined = withParts(chosen, "began_at", { parts: [{ column: "Day" }], usual: text });
    expect(joined.columns.began_at).toEqual({ parts: [{ column: "Day" }], read: moment });
    expect(withParts(joined, "began_at", { parts: [], usual: text })).toEqual(draft);
    expect(withReading(draft, "cause", moment)).toBe(draft);
  });

  it("joins columns by a dash, a date and its time by a blank, and takes the joint along when one goes", () => {
    const ids = joinedWith([{ column: "Loop" }], "Address", text);
    expect(ids).toEqual([{ column: "Loop" }, { text: "-" }, { column: "Address" }]);
    expect(withoutPart(ids, 2)).toEqual([{ column: "Loop" }]);
    expect(withoutPart(ids, 0)).toEqual([{ column: "Address" }]);
    expect(withoutPart([{ column: "Loop" }], 0)).toEqual([]);
    const moment = { as: "moment", order: null, zone: "site" } as const;
    expect(joinedWith([{ column: "Date" }], "Time", moment)[1]).toEqual({ text: " " });
  });

  it("gives a word another meaning in its place, whatever its capitals and blanks, and can take it away", () => {
    expect(withWord(words, " FIRE ", "test").words).toEqual([{ theirs: " FIRE ", ours: "test" }, words.words[1]]);
    expect(meaningOf(withWord(words, "Dirt", null), "dirt")).toBeNull();
    expect(meaningOf(words, "dirt")).toBeUndefined();
    expect(withWord(words, "fault", undefined).words).toEqual([words.words[0]]);
  });
});
