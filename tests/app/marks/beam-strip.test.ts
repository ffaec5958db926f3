import { describe, expect, it } from "vitest";
import { BeamStrip, dashesOf, placesOf } from "@/app/_parts/marks/beam-strip";
import type { BeamView } from "@/lib/services/visit-view";
import { attributes, drawn, wordsOf } from "./render";

const asOf = Date.UTC(2026, 6, 1);
const beam: BeamView = {
  form: "reflective",
  pathLengthM: 40,
  latestSignalPct: 63.4,
  faultEpisodes: [Date.UTC(2025, 6, 5), Date.UTC(2026, 5, 20), Date.UTC(2026, 5, 22)],
  alarmEpisodes: [Date.UTC(2026, 2, 10)],
  threat: "low sun",
};
const strip = (changes: Partial<BeamView> = {}, longestM = 80) =>
  drawn(BeamStrip, { label: "Bay 3", beam: { ...beam, ...changes }, longestM, asOf });

describe("the beam strip", () => {
  it("says in words all that it shows", () => {
    const { title, description, named } = wordsOf(strip());
    expect(named).toBe(true);
    expect(title).toContain("Bay 3");
    expect(description).toBe(
      "40 m, reflective, signal 63 % of as left. Last 12 months: 3 fault episodes, 1 unwanted alarm. Threat: low sun.",
    );
  });

  it("is half as long as the longest when its path is half as long", () => {
    const widthOf = (markup: string) => Number(/max\(3\.5rem, ?([\d.]+)%\)/.exec(markup)?.[1]);
    expect(widthOf(strip({ pathLengthM: 40 })) * 2).toBeCloseTo(widthOf(strip({ pathLengthM: 80 })), 5);
  });

  it("has a tick for each fault and a ring for each unwanted alarm", () => {
    const markup = strip();
    const ticks = attributes(markup, { element: "line", attribute: "stroke" }).filter((ink) => ink === "var(--worse)");
    expect(ticks).toHaveLength(3);
    expect(attributes(markup, { element: "circle", attribute: "r" })).toHaveLength(1);
  });

  it("ends in a hollow reflector, or in a second filled head when it is end to end", () => {
    const fills = (form: BeamView["form"]) => attributes(strip({ form }), { element: "rect", attribute: "fill" });
    expect(fills("reflective")).toEqual(["var(--ink)", "var(--paper)"]);
    expect(fills("end_to_end")).toEqual(["var(--ink)", "var(--ink)"]);
  });

  it("inks the line in proportion to the signal, all of it at 100 % and above", () => {
    const [ink, gap] = (dashesOf(50) ?? "").split(" ").map(Number);
    expect(ink).toBe(gap);
    expect(dashesOf(100)).toBeUndefined();
    expect(dashesOf(180)).toBeUndefined();
  });

  it("does not pass an unread detector off as one of no signal", () => {
    expect(dashesOf(null)).not.toBe(dashesOf(0));
    expect(wordsOf(strip({ latestSignalPct: null })).description).toContain("no reading");
  });

  it("sets episodes at their month, oldest at the head, and keeps them on the line", () => {
    const places = placesOf(beam.faultEpisodes, asOf).map(({ fraction }) => fraction);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places[0]).toBeLessThan(1 / 12);
    expect(places[1]).toBeGreaterThan(11 / 12);
    expect(placesOf([asOf, asOf - 400 * 86_400_000], asOf).every(({ fraction }) => fraction > 0 && fraction < 1)).toBe(
      true,
    );
  });
});
