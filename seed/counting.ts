/** Number of records of each detector. */
export function countBy(records: readonly { readonly detectorId: string }[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const { detectorId } of records) counts.set(detectorId, (counts.get(detectorId) ?? 0) + 1);
  return counts;
}
