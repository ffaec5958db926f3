/** A number as it is printed in files: 12 significant digits at most, never -0; throws RangeError when it is not finite. */
export function printed(value: number): number {
  if (!Number.isFinite(value)) throw new RangeError(`no number to print: ${value}`);
  return Number(value.toPrecision(12)) + 0;
}

/** An amount of money in minor units, rounded to hundredths of them. */
export function printedMinor(minor: number): number {
  const rounded = Math.round(minor * 100) / 100;
  return printed(rounded === 0 ? 0 : rounded);
}
