import { describe, expect, it } from "vitest";
import { decodeSeries, encodeSeries } from "@/db/readings-codec";

describe("readings as they come back from the store", () => {
  it("decodes values of full precision from bytes that lie inside a larger buffer", () => {
    const values = Float64Array.from([98.123456789, 97.1 + 0.2, Math.PI]);
    const series = {
      readAt: Float64Array.from([0, 60_000, 120_000]),
      signalPct: values,
      compensationPct: values,
      temperatureC: values,
    };
    const { bytes, checksum } = encodeSeries(series);
    // The store's driver hands out views of one shared buffer.
    const shared = Buffer.concat([Buffer.from([1, 2, 3]), bytes]);
    expect(decodeSeries({ bytes: shared.subarray(3), checksum })).toEqual(series);
  });
});
