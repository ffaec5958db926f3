import type { Evaluated } from "./compare";
import type { Json } from "./json";

/** A kind of reference file: how to know it, and how to work its cases with our own functions. */
export type Kind = {
  readonly name: string;
  /** Beginnings of file names of this kind. */
  readonly prefixes: readonly string[];
  /** Whether a file with another name is built like this kind. */
  readonly looksLike: (json: Json) => boolean;
  readonly evaluate: (json: Json) => readonly Evaluated[];
};
