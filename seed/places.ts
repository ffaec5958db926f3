/** The invented operator of the demo portfolio. */
export const OPERATOR = "Ostrevale Halls";

/** A country of the portfolio: where its sites stand, what they are called and its weather in round numbers. */
export type Country = {
  readonly code: string;
  readonly timeZone: string;
  /** Share of the sites. */
  readonly share: number;
  /** Points inland around which sites are scattered, [latitude, longitude]. */
  readonly areas: readonly (readonly [number, number])[];
  /** First and second half of invented names. */
  readonly names: readonly [readonly string[], readonly string[]];
  readonly join: string;
  /** Outdoor air in degrees C: yearly mean at `areas[0]`, half the yearly swing, half the daily swing. */
  readonly weather: { readonly meanC: number; readonly yearC: number; readonly dayC: number; readonly spellC: number };
  /** Share of an outdoor change that reaches the roof space. */
  readonly coupling: number;
  readonly indoorBaseC: number;
};

/** The two countries. Coordinates are rough areas on land; the sites and their names do not exist. */
export const countries: readonly Country[] = [
  {
    code: "P",
    timeZone: "Europe/Lisbon",
    share: 0.55,
    areas: [
      [39.2, -8.6],
      [41.2, -8.4],
      [40.6, -8.4],
      [40.2, -8.2],
      [39.7, -8.6],
      [38.8, -9.0],
      [38.6, -8.7],
      [38.1, -7.9],
      [37.2, -8.1],
      [41.5, -8.2],
    ],
    names: [
      ["Vale", "Monte", "Quinta", "Ribeira", "Outeiro", "Campo", "Fonte"],
      ["Orvalhal", "Cinzelar", "Tresbicas", "Amendral", "Salgueira Nova", "Pedrouso"],
    ],
    join: " de ",
    weather: { meanC: 16, yearC: 6.5, dayC: 4.5, spellC: 2.4 },
    coupling: 0.8,
    indoorBaseC: 18,
  },
  {
    code: "F",
    timeZone: "Europe/Helsinki",
    share: 0.45,
    areas: [
      [60.4, 24.9],
      [60.6, 22.6],
      [61.5, 23.9],
      [62.2, 25.6],
      [61.1, 25.6],
      [62.9, 27.5],
      [64.9, 25.7],
      [63.0, 21.9],
      [60.9, 26.7],
      [61.1, 28.1],
    ],
    names: [
      ["Haapa", "Kivi", "Sala", "Tuuli", "Ruoko", "Pihla"],
      ["harjunen", "lampola", "rannikko", "notkola", "saarela", "mäkiö"],
    ],
    join: "",
    weather: { meanC: 5.5, yearC: 12.5, dayC: 3.5, spellC: 4 },
    coupling: 0.5,
    indoorBaseC: 17,
  },
];

/** What a site is used for; `wet` halls wash and steam, `stocked` halls fill up towards the end of the year. */
export type SiteUse = { readonly name: string; readonly wet: boolean; readonly stocked: boolean };

/** Uses, dealt to the sites in turn. */
export const siteUses: readonly SiteUse[] = [
  { name: "dry goods warehouse", wet: false, stocked: true },
  { name: "bottling hall", wet: true, stocked: false },
  { name: "parcel sorting hall", wet: false, stocked: true },
  { name: "timber hall", wet: false, stocked: false },
  { name: "paper and board store", wet: false, stocked: true },
  { name: "laundry hall", wet: true, stocked: false },
  { name: "assembly hall", wet: false, stocked: false },
  { name: "market hall", wet: false, stocked: true },
  { name: "fish packing hall", wet: true, stocked: false },
  { name: "sports hall", wet: false, stocked: false },
];
