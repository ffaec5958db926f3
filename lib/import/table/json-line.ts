import { shown } from "@/lib/import/quote";
import { CELLS_LIMIT } from "@/lib/import/split-records";
import { plainNumber } from "@/lib/import/table/plain-number";

/** Values of one JSON object by column, as text; or why it is no row. */
export type JsonLine =
  | { readonly ok: true; readonly values: ReadonlyMap<string, string> }
  | { readonly ok: false; readonly flaw: string };

/**
 * Reads one line of JSON lines: an object whose values are texts, numbers, true, false or null.
 *
 * An object inside gives columns of its own, their names joined by a dot. Numbers keep their digits as they were sent,
 * without an exponent; null is an empty cell. A list, an object deeper inside, a key that stands twice, or anything that
 * is no object, is a flaw of its line.
 */
export function readJsonLine(text: string): JsonLine {
  // Known before the line is parsed, which would take a hundred times its size in memory.
  if (hasKeysBeyond(text, 2 * CELLS_LIMIT)) return { ok: false, flaw: TOO_MANY_KEYS };
  try {
    const whole: unknown = JSON.parse(text);
    if (typeof whole !== "object" || whole === null || Array.isArray(whole)) {
      return { ok: false, flaw: `is no JSON object but ${shown(text.trim().slice(0, 40))}; send one object a line` };
    }
  } catch {
    return { ok: false, flaw: "is not JSON; send one whole object a line, with its keys and texts in double quotes" };
  }
  return new ObjectScanner(text).read();
}

const TOO_MANY_KEYS = `has more than ${CELLS_LIMIT} keys; send only those that are needed`;

function hasKeysBeyond(text: string, limit: number): boolean {
  let left = limit;
  for (let at = text.indexOf('":'); at !== -1 && left >= 0; at = text.indexOf('":', at + 2)) left -= 1;
  return left < 0;
}

/** Reads a text that is known to be one JSON object, since the parser of the language keeps neither digits nor double keys. */
class ObjectScanner {
  private at = 0;
  private flaw: string | null = null;
  private readonly values = new Map<string, string>();

  constructor(private readonly text: string) {}

  read(): JsonLine {
    this.object("");
    if (this.flaw === null && this.values.size === 0) this.flaw = "is an object without values; leave it out";
    return this.flaw === null ? { ok: true, values: this.values } : { ok: false, flaw: this.flaw };
  }

  private object(prefix: string): void {
    this.skipBlanks();
    this.at += 1;
    for (this.skipBlanks(); this.text[this.at] !== "}" && this.flaw === null; this.skipBlanks()) {
      if (this.text[this.at] === ",") {
        this.at += 1;
        this.skipBlanks();
      }
      const key = prefix + this.string();
      this.skipBlanks();
      this.at += 1;
      this.skipBlanks();
      this.value(key, prefix === "");
    }
    this.at += 1;
  }

  private value(key: string, outer: boolean): void {
    const first = this.text[this.at];
    if (first === "{" && outer) this.object(`${key}.`);
    else if (first === "{") this.flaw = `has an object two levels deep in '${shown(key)}'; one level is read`;
    else if (first === "[") this.flaw = `has a list in '${shown(key)}'; give each of its values a key of its own`;
    else this.set(key, first === '"' ? this.string() : this.scalar(key));
  }

  private set(key: string, value: string): void {
    if (this.values.has(key)) this.flaw ??= `has '${shown(key)}' twice; keep one of them`;
    this.values.set(key, value);
    if (this.values.size > CELLS_LIMIT) this.flaw ??= TOO_MANY_KEYS;
  }

  private scalar(key: string): string {
    const from = this.at;
    while (this.at < this.text.length && !/[,}\s]/.test(this.text[this.at] ?? "")) this.at += 1;
    const token = this.text.slice(from, this.at);
    if (token === "null") return "";
    if (token === "true" || token === "false") return token;
    const number = plainNumber(token);
    if (number === null) this.flaw ??= `has a number beyond all measure in '${shown(key)}'`;
    return number ?? "";
  }

  private string(): string {
    const from = this.at;
    let end = this.text.indexOf('"', from + 1);
    while (this.isEscaped(end)) end = this.text.indexOf('"', end + 1);
    this.at = end + 1;
    const inside = this.text.slice(from + 1, end);
    if (!inside.includes("\\")) return inside;
    const value = String(JSON.parse(this.text.slice(from, end + 1)));
    if (/\p{Surrogate}/u.test(value)) this.flaw ??= `has half a character in '${shown(value)}'; mend the text`;
    return value;
  }

  private isEscaped(at: number): boolean {
    let backslashes = 0;
    while (this.text[at - 1 - backslashes] === "\\") backslashes += 1;
    return backslashes % 2 === 1;
  }

  private skipBlanks(): void {
    while (/\s/.test(this.text[this.at] ?? "")) this.at += 1;
  }
}
