/** How many of rising values lie below a limit, which is the place of the first that does not. Cost: O(log n). */
export function countBelow(rising: ArrayLike<number>, limit: number): number {
  let low = 0;
  let high = rising.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((rising[middle] ?? Infinity) < limit) low = middle + 1;
    else high = middle;
  }
  return low;
}
