/**
 * The byte that ends the lines of a text, from its beginning: a line feed, or a carriage return as old systems write it.
 *
 * Line breaks in quoted cells do not count, for they need not be those of the lines.
 */
export function lineEndOf(start: Uint8Array): number {
  const outside = countEnds(start, { quotes: true });
  const { feeds, returns } = outside.feeds + outside.returns > 0 ? outside : countEnds(start, { quotes: false });
  return returns > feeds ? 0x0d : 0x0a;
}

function countEnds(bytes: Uint8Array, { quotes }: { quotes: boolean }): { feeds: number; returns: number } {
  let feeds = 0;
  let returns = 0;
  let quoted = false;
  for (let at = 0; at < bytes.length; at += 1) {
    const byte = bytes[at];
    if (byte === 0x22 && quotes) quoted = !quoted;
    else if (quoted) continue;
    else if (byte === 0x0a) feeds += 1;
    else if (byte === 0x0d && bytes[at + 1] !== 0x0a) returns += 1;
  }
  return { feeds, returns };
}
