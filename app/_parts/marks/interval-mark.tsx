/** A rate with its interval on a scale shared down a table; decoration beside the number, which says the same in text. */
export function IntervalMark({
  mean,
  low,
  high,
  scaleTo,
  limit = null,
}: {
  mean: number;
  low: number;
  high: number;
  scaleTo: number;
  limit?: number | null;
}) {
  const place = (value: number) => `${(100 * Math.min(1, Math.max(0, value / Math.max(scaleTo, 1e-9)))).toFixed(1)}%`;
  return (
    <svg width="100%" height="14" aria-hidden="true" focusable="false" className="block overflow-visible">
      <line x1="0" x2="100%" y1="7" y2="7" stroke="var(--rule)" />
      {limit === null ? null : (
        <line x1={place(limit)} x2={place(limit)} y1="0" y2="14" stroke="var(--worse)" strokeDasharray="3 2" />
      )}
      <line x1={place(low)} x2={place(high)} y1="7" y2="7" stroke="var(--accent)" strokeWidth="3" />
      <circle cx={place(mean)} cy="7" r="3.5" fill="var(--ink)" />
    </svg>
  );
}
