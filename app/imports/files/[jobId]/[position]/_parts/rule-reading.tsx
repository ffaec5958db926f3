"use client";

import { Choice, type Option, TextField } from "@/app/imports/files/[jobId]/[position]/_parts/field";
import type { CellReading, NumberUnit } from "@/lib/import/mapping/mapping";
import type { OurColumn } from "@/lib/services/preview-file";

type Moment = Extract<CellReading, { as: "moment" }>;
type Numeric = Extract<CellReading, { as: "number" }>;

/** How the text of a column is read: the order of dates and the zone, the decimal sign and the unit. */
export function RuleReading({
  our,
  read,
  onChange,
}: {
  our: OurColumn;
  read: CellReading;
  onChange: (read: CellReading) => void;
}) {
  if (read.as === "moment") return <MomentReading column={our.column} read={read} onChange={onChange} />;
  if (read.as === "number") return <NumberReading our={our} read={read} onChange={onChange} />;
  if (our.words === null) return null;
  return (
    <Choice
      label={`How ${our.column} is read`}
      value={read.as}
      options={[
        { value: "text", text: "the words are ours already" },
        { value: "words", text: "their words stand for ours" },
      ]}
      onChange={(as) => onChange(as === "words" ? wordsOf(our) : { as: "text" })}
    />
  );
}

function wordsOf({ usual }: OurColumn): CellReading {
  return usual.as === "words" ? usual : { as: "words", match: "whole", words: [], otherwise: { do: "refuse" } };
}

const orders = [
  { value: "year_first", text: "year, month, day" },
  { value: "day_first", text: "day first" },
  { value: "month_first", text: "month first" },
  { value: "unix_seconds", text: "seconds since 1970" },
  { value: "unix_milliseconds", text: "milliseconds since 1970" },
] as const;
const UNSAID = "as the rows show";

function MomentReading({ column, read, onChange }: { column: string; read: Moment; onChange: (read: Moment) => void }) {
  const named = read.zone !== "site" && read.zone !== "UTC";
  return (
    <>
      <Choice
        label={`Dates of ${column}`}
        value={read.order ?? ""}
        options={[{ value: "", text: UNSAID }, ...orders]}
        onChange={(value) => onChange({ ...read, order: orders.find((one) => one.value === value)?.value ?? null })}
      />
      <Choice
        label="Times without a zone"
        value={named ? "named" : read.zone}
        options={[
          { value: "site", text: "in the site’s zone" },
          { value: "UTC", text: "in UTC" },
          { value: "named", text: "in another zone" },
        ]}
        onChange={(zone) => onChange({ ...read, zone: zone === "named" ? "Europe/London" : zone })}
      />
      {named ? (
        <TextField
          label="Zone, as Europe/London"
          value={read.zone}
          size={16}
          onChange={(zone) => onChange({ ...read, zone })}
        />
      ) : null}
    </>
  );
}

/** Units as people read them. */
export const unitWords: Readonly<Record<NumberUnit, string>> = {
  percent: "percent",
  share: "a share of 1",
  obscuration_percent: "percent obscuration",
  decibel: "decibels of loss",
  decibel_gain: "decibels of gain",
  counts: "counts",
  celsius: "°C",
  fahrenheit: "°F",
  metre: "metres",
  foot: "feet",
  minute: "minutes",
  hour: "hours",
  degree: "degrees",
  number: "a plain number",
};

const signs: readonly Option[] = [
  { value: "", text: UNSAID },
  { value: "point", text: "point, 98.5" },
  { value: "comma", text: "comma, 98,5" },
];

function NumberReading({ our, read, onChange }: { our: OurColumn; read: Numeric; onChange: (read: Numeric) => void }) {
  const { fullScale, ...plain } = read;
  const chooseUnit = (value: string) => {
    const unit = our.units.find((one) => one === value);
    if (unit !== undefined)
      onChange(unit === "counts" ? { ...plain, unit, fullScale: fullScale ?? 1000 } : { ...plain, unit });
  };
  return (
    <>
      <Choice
        label={`Decimal sign of ${our.column}`}
        value={read.decimal ?? ""}
        options={signs}
        onChange={(sign) => onChange({ ...read, decimal: sign === "point" || sign === "comma" ? sign : null })}
      />
      {our.units.length > 1 ? (
        <Choice
          label="Unit"
          value={read.unit}
          options={our.units.map((unit) => ({ value: unit, text: unitWords[unit] }))}
          onChange={chooseUnit}
        />
      ) : null}
      {read.unit === "counts" ? (
        <TextField
          label="Counts that are 100 %"
          size={8}
          inputMode="decimal"
          value={String(fullScale ?? "")}
          onChange={(typed) => onChange({ ...plain, ...scaleOf(typed) })}
        />
      ) : null}
    </>
  );
}

function scaleOf(typed: string): { fullScale?: number } {
  const scale = Number(typed.trim());
  return Number.isFinite(scale) && scale > 0 ? { fullScale: scale } : {};
}
