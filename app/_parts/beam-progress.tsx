/** How far something has come, drawn as a beam that grows from its head; without a total it says so in words alone. */
export function BeamProgress({ label, done, total }: { label: string; done: number; total: number | null }) {
  const share = total === null || total <= 0 ? null : Math.min(1, done / total);
  const percent = share === null ? undefined : Math.round(share * 100);
  return (
    <div
      role="progressbar"
      aria-label={label}
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={percent}
      className="relative h-4 max-w-[34rem]"
    >
      <span className="absolute top-[3px] left-0 size-2.5 bg-ink" />
      <span className="absolute inset-x-2.5 top-[7px] h-px bg-rule" />
      <span
        className="absolute top-[6px] left-2.5 h-[3px] bg-accent"
        style={{ width: `calc((100% - 1.25rem) * ${share ?? 0})` }}
      />
      <span className="absolute top-[3px] right-0 size-2.5 border border-ink bg-paper" />
    </div>
  );
}
