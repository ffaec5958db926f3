/** An amount in the minor unit of one currency (cents, pence); whole when it has been rounded to be shown. */
export type Money = { readonly minor: number; readonly currency: string };

/** Minor units in one major unit of a currency, from the runtime's ISO 4217 data: EUR 100, JPY 1, KWD 1000. */
export function minorPerMajor(currency: string): number {
  return 10 ** fractionDigits(currency);
}

/** The only rounding of money: to whole minor units, halves away from zero. */
export function roundMinor(minor: number): number {
  if (!Number.isFinite(minor)) throw new RangeError(`not an amount: ${minor}`);
  const rounded = Math.sign(minor) * Math.round(Math.abs(minor));
  return rounded === 0 ? 0 : rounded;
}

/** Major units, rounded to whole minor units: 123456 minor EUR is 1234.56. */
export function majorOf(minor: number, currency: string): number {
  return roundMinor(minor) / minorPerMajor(currency);
}

/** Minor units of an amount in major units, as a cost setting or a file gives it. */
export function minorOf(major: number, currency: string): number {
  return roundMinor(major * minorPerMajor(currency));
}

/** Amount as a reader of `locale` writes it; without decimals when `whole` is set. */
export function formatMoney(money: Money, { locale = "en", whole = false }: { locale?: string; whole?: boolean } = {}) {
  const digits = whole ? 0 : fractionDigits(money.currency);
  const format = new Intl.NumberFormat(locale, {
    style: "currency",
    currency: money.currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  });
  return format.format(majorOf(money.minor, money.currency));
}

const digitsByCurrency = new Map<string, number>();

/** Decimals of an amount in major units of a currency, from the runtime's ISO 4217 data: EUR 2, JPY 0, KWD 3. */
export function fractionDigits(currency: string): number {
  const known = digitsByCurrency.get(currency);
  if (known !== undefined) return known;
  const options = new Intl.NumberFormat("en", { style: "currency", currency }).resolvedOptions();
  const digits = options.maximumFractionDigits ?? 2;
  digitsByCurrency.set(currency, digits);
  return digits;
}
