import { createWriteStream } from "node:fs";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { AppError, messageOf } from "@/lib/kernel/errors";

/** Writes pieces of text to a file as they are made; throws AppError invalid_input when it cannot be written. */
export async function writePieces(path: string, pieces: AsyncIterable<string>): Promise<void> {
  try {
    await pipeline(Readable.from(pieces), createWriteStream(path));
  } catch (thrown) {
    if (thrown instanceof AppError) throw thrown;
    throw new AppError("invalid_input", `${path} cannot be written: ${messageOf(thrown)}`);
  }
}
