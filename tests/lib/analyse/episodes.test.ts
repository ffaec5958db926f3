import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { clustersOf, episodesOf, isFalseAlarm, isOwnFalseAlarm } from "@/lib/analyse/episodes";
import type { FaultCause } from "@/lib/records/vocabulary";
import { at, makeEvent } from "@/tests/fixtures/records";

describe("episodes", () => {
  it("counts a fault that chatters within half an hour once", () => {
    const records = ["10:00", "10:40", "11:20"].map((time) =>
      makeEvent({
        began: `2025-03-01T${time}:00Z`,
        ended: `2025-03-01T${time.slice(0, 3)}${Number(time.slice(3)) + 10}:00Z`,
      }),
    );
    // Each ends 10 minutes after it began, so the next follows 30 minutes later.
    expect(episodesOf(records, { joinMin: 30 })).toHaveLength(1);
    expect(episodesOf(records, { joinMin: 29 })).toHaveLength(3);
  });

  it("counts a fault that lasts over midnight once, on the day it began", () => {
    const [episode] = episodesOf([makeEvent({ began: "2025-03-01T23:50:00Z", ended: "2025-03-02T04:00:00Z" })], {
      joinMin: 30,
    });
    expect(episode?.beganAt).toBe(at("2025-03-01T23:50:00Z"));
  });

  it("joins a short record that lies inside a long one", () => {
    const records = [
      makeEvent({ began: "2025-03-01T10:00:00Z", ended: "2025-03-01T20:00:00Z" }),
      makeEvent({ began: "2025-03-01T11:00:00Z", ended: "2025-03-01T11:05:00Z" }),
      makeEvent({ began: "2025-03-01T20:10:00Z", ended: "2025-03-01T20:15:00Z" }),
    ];
    expect(episodesOf(records, { joinMin: 30 })).toMatchObject([{ records: 3, endedAt: at("2025-03-01T20:15:00Z") }]);
  });

  it("does not let a record without an end swallow later ones", () => {
    const records = [makeEvent({ ended: null }), makeEvent({ began: "2025-05-01T10:00:00Z" })];
    expect(episodesOf(records, { joinMin: 30 })).toHaveLength(2);
  });

  it("keeps the gravest verdict of an episode", () => {
    const fires = (["unknown", "unwanted", "genuine"] as const).map((verdict, minute) =>
      makeEvent({ condition: "fire", verdict, began: `2025-03-01T10:0${minute}:00Z` }),
    );
    expect(episodesOf(fires, { joinMin: 30 })).toMatchObject([{ verdict: "genuine", records: 3 }]);
  });

  it("joins a record that follows after exactly 30 minutes, and not one that follows a millisecond later", () => {
    const ended = at("2025-03-01T10:30:00Z");
    const pair = (gapMs: number) => [makeEvent(), makeEvent({ beganAt: ended + gapMs })];
    expect(episodesOf(pair(30 * 60_000), { joinMin: 30 })).toHaveLength(1);
    expect(episodesOf(pair(30 * 60_000 + 1), { joinMin: 30 })).toHaveLength(2);
    expect(episodesOf(pair(0), { joinMin: 0 })).toHaveLength(1);
  });

  it("counts the 30 minutes from the beginning of a record without an end, and leaves the episode open", () => {
    const open = makeEvent({ ended: null });
    const pair = (minutes: number) => [open, makeEvent({ beganAt: open.beganAt + minutes * 60_000 })];
    expect(episodesOf(pair(30), { joinMin: 30 })).toMatchObject([{ records: 2, endedAt: null }]);
    expect(episodesOf(pair(31), { joinMin: 30 })).toHaveLength(2);
  });

  it("gives the cause that most of its records give, of equals the first in the alphabet, and none where none does", () => {
    const causes = (list: (FaultCause | null)[]) =>
      episodesOf(
        list.map((cause, minute) => makeEvent({ cause, began: `2025-03-01T10:0${minute}:00Z` })),
        { joinMin: 30 },
      )[0]?.cause;
    expect(causes(["unknown", "path_blocked", "path_blocked"])).toBe("path_blocked");
    expect(causes(["path_blocked", "low_signal"])).toBe("low_signal");
    expect(causes([null, null])).toBeNull();
  });

  it("counts an alarm as the detector's own only when it was judged unwanted or equipment", () => {
    const judged = (["genuine", "unwanted", "equipment", "good_intent", "malicious", "unknown", null] as const).map(
      (verdict) => {
        const [episode] = episodesOf([makeEvent({ condition: "fire", verdict })], { joinMin: 30 });
        if (!episode) throw new Error("one record is one episode");
        return [verdict, isFalseAlarm(episode), isOwnFalseAlarm(episode)];
      },
    );
    expect(judged).toEqual([
      ["genuine", false, false],
      ["unwanted", true, true],
      ["equipment", true, true],
      ["good_intent", true, false],
      ["malicious", true, false],
      ["unknown", false, false],
      [null, false, false],
    ]);
  });

  it("never has more clusters than episodes, nor more episodes than records", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 400 * 24 })), (hours) => {
        const records = [...hours].sort((a, b) => a - b).map((hour) => makeEvent({ beganAt: hour * 3_600_000 }));
        const episodes = episodesOf(records, { joinMin: 30 });
        const clusters = clustersOf(episodes, { joinDays: 7 });
        expect(episodes.reduce((sum, episode) => sum + episode.records, 0)).toBe(records.length);
        expect(clusters.reduce((sum, cluster) => sum + cluster.episodes, 0)).toBe(episodes.length);
      }),
    );
  });
});

describe("clusters", () => {
  it("take a cause that returns within seven days as one event", () => {
    const episodes = ["01", "08", "16"].map((day) => makeEvent({ began: `2025-03-${day}T10:00:00Z` }));
    // The second begins 7 days less half an hour after the first ended; the third 8 days after the second.
    expect(clustersOf(episodesOf(episodes, { joinMin: 30 }), { joinDays: 7 })).toMatchObject([
      { episodes: 2 },
      { episodes: 1 },
    ]);
  });

  it("end after exactly seven days and begin anew a millisecond later, from the end of one to the next's beginning", () => {
    const ended = at("2025-03-01T10:30:00Z");
    const pair = (gapMs: number) =>
      clustersOf(episodesOf([makeEvent(), makeEvent({ beganAt: ended + gapMs })], { joinMin: 30 }), { joinDays: 7 });
    expect(pair(7 * 86_400_000)).toHaveLength(1);
    expect(pair(7 * 86_400_000 + 1)).toHaveLength(2);
  });
});
