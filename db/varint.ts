/** Bytes written one after another into a buffer that grows. */
export class ByteWriter {
  private bytes = new Uint8Array(256);
  private length = 0;

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

  /** Throws when bytes are left over. */
  end(): void {
    if (this.at !== this.bytes.length) throw new Error("damaged readings: bytes are left over");
  }
}

/** 32-bit FNV-1a of bytes, 0..2^32-1. */
export function checksumOf(bytes: Uint8Array): number {
  let hash = 0x811c9dc5;
  for (const byte of bytes) {
    hash ^= byte;
    hash = Math.imul(hash, 0x01000193);
  }
  return hash >>> 0;
}
