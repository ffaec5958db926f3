/** What the reader of plain rows must know of a detector; a time outside its span is left to the ordinary way. */
export type PlainDetector = {
  readonly key: number;
  readonly timeZone: string;
  readonly fromAt: number;
  readonly untilAt: number;
};

const COMMA = 0x2c;
const QUOTE = 0x22;
const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;

/**
 * Finds detectors by the bytes of their ids, without making a text of each.
 *
 * Rows of one detector stand together, or those of all follow each other in one order again and again; so the detector
 * that followed last time is tried before any search.
 */
export class PlainIds {
  /** Place behind the id that {@link slotAt} found. */
  end = 0;
  readonly detectors: PlainDetector[] = [];
  private pool = new Uint8Array(1 << 12);
  private readonly starts: number[] = [0];
  private readonly followers: number[] = [];
  private table = new Int32Array(1 << 8).fill(-1);
  private last = -1;

  constructor(private readonly find: (detectorId: string) => PlainDetector | null) {}

  /** Number of the detector whose id stands at `at`, up to a comma or line end; -1 when it is not known or not plain. */
  slotAt(bytes: Uint8Array, at: number): number {
    const follower = this.followers[this.last] ?? -1;
    if (follower !== -1 && this.standsAt(bytes, at, follower)) {
      this.last = follower;
      return follower;
    }
    const slot = this.search(bytes, at);
    if (slot === -1) return -1;
    if (this.last !== -1) this.followers[this.last] = slot;
    this.last = slot;
    return slot;
  }

  private standsAt(bytes: Uint8Array, at: number, slot: number): boolean {
    const start = this.starts[slot] ?? 0;
    const length = (this.starts[slot + 1] ?? 0) - start;
    for (let index = 0; index < length; index += 1) if (bytes[at + index] !== this.pool[start + index]) return false;
    this.end = at + length;
    return endsCell(bytes[this.end] ?? LINE_FEED);
  }

  private search(bytes: Uint8Array, at: number): number {
    let end = at;
    let hash = 0x811c9dc5;
    for (let byte = bytes[end] ?? LINE_FEED; !endsCell(byte); byte = bytes[end] ?? LINE_FEED) {
      if (byte <= 0x20 || byte > 0x7e || byte === QUOTE) return -1;
      hash = Math.imul(hash ^ byte, 0x01000193);
      end += 1;
    }
    if (end === at || end - at > 100) return -1;
    const mask = this.table.length - 1;
    let place = hash & mask;
    for (let slot = this.table[place] ?? -1; slot !== -1; slot = this.table[place] ?? -1) {
      if (this.standsAt(bytes, at, slot)) return slot;
      place = (place + 1) & mask;
    }
    this.end = end;
    return this.learn(bytes.subarray(at, end), hash);
  }

  private learn(id: Uint8Array, hash: number): number {
    const found = this.find(String.fromCharCode(...id));
    if (found === null) return -1;
    const slot = this.detectors.length;
    const start = this.starts[slot] ?? 0;
    if (start + id.length > this.pool.length) {
      const larger = new Uint8Array(this.pool.length * 2);
      larger.set(this.pool);
      this.pool = larger;
    }
    this.pool.set(id, start);
    this.starts.push(start + id.length);
    this.followers.push(slot);
    this.detectors.push(found);
    if (this.detectors.length * 2 > this.table.length) this.enlarge();
    else this.put(slot, hash);
    return slot;
  }

  private put(slot: number, hash: number): void {
    const mask = this.table.length - 1;
    let place = hash & mask;
    while (this.table[place] !== -1) place = (place + 1) & mask;
    this.table[place] = slot;
  }

  private enlarge(): void {
    this.table = new Int32Array(this.table.length * 2).fill(-1);
    for (let slot = 0; slot < this.detectors.length; slot += 1) {
      let hash = 0x811c9dc5;
      for (let at = this.starts[slot] ?? 0; at < (this.starts[slot + 1] ?? 0); at += 1)
        hash = Math.imul(hash ^ (this.pool[at] ?? 0), 0x01000193);
      this.put(slot, hash);
    }
  }
}

function endsCell(byte: number): boolean {
  return byte === COMMA || byte === LINE_FEED || byte === CARRIAGE_RETURN;
}
