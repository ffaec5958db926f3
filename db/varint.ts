/** So many leading 0 bits say that a number of Rice's code follows whole. */
export const RICE_ESCAPE = 21;

/** Bytes written one after another into a buffer that grows. */
export class ByteWriter {
  private bytes: Uint8Array;
  private length = 0;

  /** A writer with room for `capacity` bytes, and more when they are needed. */
  constructor(capacity = 256) {
    this.bytes = new Uint8Array(capacity);
  }

  /** Appends one byte, 0..255. */
  byte(value: number): void {
    if (this.length === this.bytes.length) this.grow(this.length + 1);
    this.bytes[this.length] = value;
    this.length += 1;
  }

  /** Appends a whole number >= 0, seven bits a byte, lowest first. */
  varint(value: number): void {
    let rest = value;
    // Bit operations work on 32 bits only, so a larger number is divided until it fits.
    while (rest > 0x7fffffff) {
      this.byte((rest % 128) + 128);
      rest = Math.floor(rest / 128);
    }
    while (rest > 127) {
      this.byte((rest & 127) | 128);
      rest >>>= 7;
    }
    this.byte(rest);
  }

  /** Appends a whole number of either sign: 0, -1, 1, -2 become 0, 1, 2, 3 (zigzag), then as {@link varint}. */
  signed(value: number): void {
    this.varint(value >= 0 ? value * 2 : -value * 2 - 1);
  }

  /** Appends bytes as they are. */
  raw(bytes: Uint8Array): void {
    if (this.length + bytes.length > this.bytes.length) this.grow(this.length + bytes.length);
    this.bytes.set(bytes, this.length);
    this.length += bytes.length;
  }

  /**
   * Appends the first `count` numbers, 0..2^31-1, by Rice's code: each as so many 0 bits as its part above the low bits
   * says, a 1, and its low bits; a number with more than 20 of the former as 21 of them, a 1 and its 31 bits. It ends
   * with a whole byte.
   */
  rice(numbers: Int32Array, { count, lowBits }: { count: number; lowBits: number }): void {
    // The longest code has 21 + 1 + 31 bits.
    if (this.length + count * 7 + 8 > this.bytes.length) this.grow(this.length + count * 7 + 8);
    const { bytes } = this;
    const mask = (1 << lowBits) - 1;
    let at = this.length;
    let held = 0;
    let heldBits = 0;
    const put = (value: number, width: number) => {
      held |= value << heldBits;
      heldBits += width;
      for (; heldBits >= 8; heldBits -= 8) {
        bytes[at] = held;
        at += 1;
        held >>>= 8;
      }
    };
    for (let index = 0; index < count; index += 1) {
      const number = numbers[index] ?? 0;
      const high = number >>> lowBits;
      if (high < RICE_ESCAPE) {
        put(1 << high, high + 1);
        put(number & mask, lowBits);
      } else {
        put(1 << RICE_ESCAPE, RICE_ESCAPE + 1);
        put(number & 0xffff, 16);
        put(number >>> 16, 15);
      }
    }
    if (heldBits > 0) {
      bytes[at] = held;
      at += 1;
    }
    this.length = at;
  }

  /** What was written. */
  done(): Uint8Array {
    return this.bytes.slice(0, this.length);
  }

  private grow(atLeast: number): void {
    const larger = new Uint8Array(Math.max(atLeast, this.bytes.length * 2));
    larger.set(this.bytes);
    this.bytes = larger;
  }
}

/** Reads what {@link ByteWriter} wrote; throws Error when the bytes end too early or hold an impossible number. */
export class ByteReader {
  private at = 0;

  constructor(private readonly bytes: Uint8Array) {}

  /** The next byte. */
  byte(): number {
    const value = this.bytes[this.at];
    if (value === undefined) throw new Error("damaged readings: the bytes end too early");
    this.at += 1;
    return value;
  }

  /** The next whole number >= 0. */
  varint(): number {
    let byte = this.byte();
    if (byte < 128) return byte;
    let value = byte & 127;
    let factor = 128;
    do {
      byte = this.byte();
      value += (byte & 127) * factor;
      factor *= 128;
    } while (byte >= 128 && factor < 2 ** 56);
    if (byte >= 128 || !Number.isSafeInteger(value)) throw new Error("damaged readings: a number is too large");
    return value;
  }

  /** The next whole number of either sign. */
  signed(): number {
    const value = this.varint();
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  }

  /** The next `length` bytes. */
  raw(length: number): Uint8Array {
    if (this.at + length > this.bytes.length) throw new Error("damaged readings: the bytes end too early");
    this.at += length;
    return this.bytes.subarray(this.at - length, this.at);
  }

  /** Reads `count` numbers of {@link ByteWriter.rice}. */
  rice(numbers: Int32Array, { count, lowBits }: { count: number; lowBits: number }): void {
    const { bytes } = this;
    const mask = (1 << lowBits) - 1;
    let at = this.at;
    let held = 0;
    let heldBits = 0;
    for (let index = 0; index < count; index += 1) {
      for (; heldBits <= 24; heldBits += 8) {
        held |= (bytes[at] ?? 0) << heldBits;
        at += 1;
      }
      const high = 31 - Math.clz32(held & -held);
      if (high < 0 || high > RICE_ESCAPE) throw new Error("damaged readings: a number has an impossible form");
      held >>>= high + 1;
      heldBits -= high + 1;
      const escaped = high === RICE_ESCAPE;
      const width = escaped ? 16 : lowBits;
      for (; heldBits < width; heldBits += 8) {
        held |= (bytes[at] ?? 0) << heldBits;
        at += 1;
      }
      if (!escaped) numbers[index] = (high << lowBits) | (held & mask);
      else numbers[index] = held & 0xffff;
      held >>>= width;
      heldBits -= width;
      if (!escaped) continue;
      for (; heldBits < 15; heldBits += 8) {
        held |= (bytes[at] ?? 0) << heldBits;
        at += 1;
      }
      numbers[index] = (numbers[index] ?? 0) | ((held & 0x7fff) << 16);
      held >>>= 15;
      heldBits -= 15;
    }
    this.at = at - (heldBits >> 3);
    if (this.at > bytes.length) throw new Error("damaged readings: the bytes end too early");
  }

  /** Throws when bytes are left over. */
  end(): void {
    if (this.at !== this.bytes.length) throw new Error("damaged readings: bytes are left over");
  }
}

/** 32-bit FNV-1a of bytes, 0..2^32-1. */
export function checksumOf(bytes: Uint8Array): number {
  let hash = 0x811c9dc5;
  for (let at = 0; at < bytes.length; at += 1) {
    hash = Math.imul(hash ^ (bytes[at] ?? 0), 0x01000193);
  }
  return hash >>> 0;
}
