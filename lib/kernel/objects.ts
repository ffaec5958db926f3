/**
 * Keys of a record with a fixed set of keys, in their order.
 *
 * The language types Object.keys as string[], since a value may hold more than its type says; these records are
 * literals of our own, so the narrower type is true. This is the one place where that is asserted.
 */
export function keysOf<Key extends string>(record: Readonly<Record<Key, unknown>>): Key[] {
  return Object.keys(record) as Key[];
}

/** A record with the same keys and each value replaced by `map(value, key)`; the same assertion as {@link keysOf}. */
export function mapRecord<Key extends string, From, To>(
  record: Readonly<Record<Key, From>>,
  map: (value: From, key: Key) => To,
): Record<Key, To> {
  const entries = keysOf(record).map((key) => [key, map(record[key], key)] as const);
  return Object.fromEntries(entries) as Record<Key, To>;
}
