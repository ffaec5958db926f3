/** Mean weight in each cell, `bin * 24 + hour`: {@link YEAR_BINS} equal parts of the year by 24 hours of the site's clock. */
export type YearGrid = Float64Array;

/** Equal parts of the year of a grid: about five days each. */
export const YEAR_BINS = 73;

/** Where the first part of a year begins (ms UTC). Any common year does: the sun returns to a date within a quarter degree. */
export const YEAR_START_AT = Date.UTC(2025, 0, 1);
