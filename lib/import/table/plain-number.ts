/** Digits an exponent may move the point over; a number beyond has no use in any column. */
const EXPONENT_LIMIT = 400;

/**
 * A number as plain decimal text, without an exponent and with all its digits; null when its exponent is beyond 400.
 *
 * @throws RangeError when the text is no decimal number
 */
export function plainNumber(text: string): string | null {
  if (/^[-+]?\d+(\.\d+)?$/.test(text)) return text.replace("+", "");
  const parts = /^([-+]?)(\d*)\.?(\d*)(?:[eE]([-+]?\d+))?$/.exec(text);
  const [, sign = "", whole = "", fraction = "", power = "0"] = parts ?? [];
  if (!parts || whole + fraction === "") throw new RangeError(`no decimal number: ${text}`);
  const exponent = Number(power);
  if (Math.abs(exponent) > EXPONENT_LIMIT) return null;
  const digits = whole + fraction;
  const point = whole.length + exponent;
  const padded = point <= 0 ? "0".repeat(1 - point) + digits : digits.padEnd(point, "0");
  const at = Math.max(point, 1);
  const before = padded.slice(0, at).replace(/^0+(?=\d)/, "");
  const after = padded.slice(at);
  return `${sign === "-" ? "-" : ""}${before}${after === "" ? "" : `.${after}`}`;
}
