/** Size of a file as people read it. */
export function sizeText(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  const [divisor, unit] = bytes < 1e6 ? [1e3, "kB"] : bytes < 1e9 ? [1e6, "MB"] : [1e9, "GB"];
  const value = bytes / Number(divisor);
  return `${value.toLocaleString("en", { maximumFractionDigits: value < 10 ? 1 : 0 })} ${unit}`;
}
