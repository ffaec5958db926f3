/** How far a source was checked when the number was taken from it. */
export type SourceStanding = "read" | "secondary" | "from memory" | "common practice" | "your figure" | "choice";

/** A published source, a habit of the trade, or an honest 'your figure'. */
export type Source = {
  readonly title: string;
  readonly place: string | null;
  readonly standing: SourceStanding;
};

/** Register of sources; each default and constant of the product names one of these ids. */
export const sources = {
  your_figure: { title: "No published figure: put in your own", place: null, standing: "your figure" },
  choice: { title: "A choice of this product, without an outside source", place: null, standing: "choice" },
  common_practice: { title: "Common practice of the trade", place: null, standing: "common practice" },
  welsh_government_2015: {
    title:
      "Welsh Government, report on unwanted fire signals, 2015: GBP 28-29 m a year over more than 15,000 false alarms",
    place: "report summary; the quotient, about GBP 1,900 an alarm, is ours",
    standing: "read",
  },
  bs_5839_1_false_alarms: {
    title: "BS 5839-1:2017, limits of false-alarm rates, as summarised by two consultancies in 2016 and 2023",
    place: "clause numbers from memory; they moved in the 2025 edition",
    standing: "secondary",
  },
  bs_5839_1_annual_test: {
    title: "BS 5839-1:2017, every detector functionally tested within 12 months",
    place: null,
    standing: "secondary",
  },
  en_54_2_fault_delay: {
    title: "EN 54-2:1997+A1:2006, fault warning within 100 s",
    place: "8.2",
    standing: "from memory",
  },
  benjamini_hochberg_1995: {
    title: "Benjamini and Hochberg, Controlling the false discovery rate, J. R. Statist. Soc. B 57, 289-300, 1995",
    place: "Eq. 1",
    standing: "secondary",
  },
} as const satisfies Record<string, Source>;

/** Id of a source in the register. */
export type SourceId = keyof typeof sources;
