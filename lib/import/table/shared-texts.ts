import { plainText } from "@/lib/import/table/workbook-parts";
import { XmlWalk } from "@/lib/import/table/xml-walk";

/** Texts and characters a workbook may share between its cells; more are refused, so that memory stays bounded. */
export const SHARED_TEXTS_LIMIT = 2_000_000;
/** See {@link SHARED_TEXTS_LIMIT}. */
export const SHARED_CHARACTERS_LIMIT = 48_000_000;

const PAGE_TEXTS = 4_096;

/**
 * Reads the texts that the cells of a workbook share: `write` pieces of their XML, then `end`, then ask `textAt`.
 *
 * `write` and `end` throw an Error when the part is not well formed or beyond the limits.
 */
export class SharedTexts {
  /** Many texts to one string: a million small strings weigh more than their letters do. */
  private readonly pages: string[] = [];
  private readonly ends: number[] = [];
  private page: string[] = [];
  private characters = 0;
  private text: string | null = null;
  private into = false;
  private phonetic = false;
  private readonly walk: XmlWalk;

  constructor() {
    this.walk = new XmlWalk({
      open: (name) => this.open(name),
      text: (piece) => {
        if (this.into && this.text !== null) this.text += piece;
      },
      close: (name) => this.close(name),
    });
  }

  write(piece: string): void {
    this.walk.write(piece);
  }

  end(): void {
    this.walk.end();
    this.turnPage();
  }

  /** A text by its number; null beyond the last. */
  textAt(index: number): string | null {
    const end = this.ends[index];
    if (end === undefined) return null;
    const from = index % PAGE_TEXTS === 0 ? 0 : (this.ends[index - 1] ?? 0);
    return this.pages[Math.floor(index / PAGE_TEXTS)]?.slice(from, end) ?? null;
  }

  private open(name: string): void {
    if (name === "si") this.text = "";
    else if (name === "rPh") this.phonetic = true;
    else if (name === "t") this.into = !this.phonetic;
  }

  private close(name: string): void {
    if (name === "t") this.into = false;
    else if (name === "rPh") this.phonetic = false;
    else if (name === "si" && this.text !== null) {
      this.add(plainText(this.text));
      this.text = null;
    }
  }

  private add(text: string): void {
    this.characters += text.length;
    if (this.ends.length >= SHARED_TEXTS_LIMIT || this.characters > SHARED_CHARACTERS_LIMIT) {
      throw new RangeError(
        `more than ${SHARED_TEXTS_LIMIT} shared texts, or ${SHARED_CHARACTERS_LIMIT} characters in them`,
      );
    }
    const before = this.page.length === 0 ? 0 : (this.ends.at(-1) ?? 0);
    this.page.push(text);
    this.ends.push(before + text.length);
    if (this.page.length === PAGE_TEXTS) this.turnPage();
  }

  private turnPage(): void {
    if (this.page.length > 0) this.pages.push(this.page.join(""));
    this.page = [];
  }
}
