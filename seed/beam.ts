import type { Traits } from "@/seed/causes";

/** State of one beam between work; attenuations in dB. */
export type Beam = {
  soilDb: number;
  /** Step left by a mount that moved. */
  shiftDb: number;
  /** Dirt already in the reference that the last realignment stored. */
  referenceDb: number;
  /** Temperature under the roof when it was last realigned, degrees C. */
  setTemperatureC: number;
  daysSinceRealign: number;
};

/** Range of drift compensation: dirt of this attenuation uses all of it. */
const COMPENSATION_RANGE_DB = 3;

/** Attenuation since the last realignment at a temperature under the roof, dB; a mount works loose over some months. */
export function beamAttenuationDb(beam: Beam, traits: Traits, temperatureC: number): number {
  const loose = 0.12 + 0.88 * (1 - Math.exp(-beam.daysSinceRealign / 110));
  const away = temperatureC - beam.setTemperatureC;
  const thermal = loose * (traits.thermalDbPerK * away + traits.bowDbPerK2 * away * away);
  return beam.soilDb - beam.referenceDb + beam.shiftDb + thermal;
}

/** Share of the compensation range used by dirt, 0..100 %. */
export function compensationPctOf(beam: Beam): number {
  return Math.min(100, (100 * beam.soilDb) / COMPENSATION_RANGE_DB);
}

/** Takes the dirt off, all but a little. */
export function cleanBeam(beam: Beam): void {
  beam.soilDb *= 0.06;
}

/** Points the beam again and stores the level received now as 100 %. */
export function realignBeam(beam: Beam, temperatureC: number): void {
  beam.shiftDb = 0;
  beam.referenceDb = beam.soilDb;
  beam.setTemperatureC = temperatureC;
  beam.daysSinceRealign = 0;
}

/** Signal in percent of an attenuation in dB, inside 0..400 %. */
export function signalOf(attenuationDb: number): number {
  return Math.min(400, 100 * 10 ** (-attenuationDb / 10));
}
