import { SaxesParser } from "saxes";

/** Characters that may follow each other without the end of a tag; a text or tag beyond is no part of a workbook. */
const STEP_LIMIT = 4_000_000;
const DEPTH_LIMIT = 100;

/** What hears of the tags and texts of an XML part; names come without their prefix. */
export type XmlListener = {
  open?(name: string, attributes: Readonly<Record<string, string>>): void;
  text?(text: string): void;
  close?(name: string): void;
};

/**
 * Walks over an XML part of a workbook, piece by piece, in flat memory; entities of its own are not resolved.
 *
 * Both `write` and `end` throw an Error when the part is not well formed, too deep, or has a text beyond all measure.
 */
export class XmlWalk {
  private readonly parser = new SaxesParser({ xmlns: false, fragment: false, position: false });
  private depth = 0;
  private sinceTag = 0;

  constructor(listener: XmlListener) {
    this.parser.on("opentag", ({ name, attributes }) => {
      this.depth += 1;
      this.sinceTag = 0;
      if (this.depth > DEPTH_LIMIT) throw new RangeError(`tags nested deeper than ${DEPTH_LIMIT}`);
      listener.open?.(localName(name), attributes);
    });
    this.parser.on("text", (text) => listener.text?.(text));
    this.parser.on("cdata", (text) => listener.text?.(text));
    this.parser.on("closetag", ({ name }) => {
      this.depth -= 1;
      this.sinceTag = 0;
      listener.close?.(localName(name));
    });
    this.parser.on("error", (error) => {
      throw error;
    });
  }

  write(piece: string): void {
    this.sinceTag += piece.length;
    this.parser.write(piece);
    if (this.sinceTag > STEP_LIMIT) throw new RangeError("a text or tag without an end");
  }

  end(): void {
    this.parser.close();
  }
}

/** An attribute whatever prefix it has; undefined when there is none. */
export function attribute(attributes: Readonly<Record<string, string>>, name: string): string | undefined {
  const direct = attributes[name];
  if (direct !== undefined) return direct;
  const key = Object.keys(attributes).find((one) => one.endsWith(`:${name}`));
  return key === undefined ? undefined : attributes[key];
}

function localName(name: string): string {
  const colon = name.indexOf(":");
  return colon === -1 ? name : name.slice(colon + 1);
}
