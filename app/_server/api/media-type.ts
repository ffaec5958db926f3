import { Refused } from "@/lib/services/api/problem";

const encodings = {
  "utf-8": "utf-8",
  utf8: "utf-8",
  "us-ascii": "utf-8",
  "utf-16le": "utf-16le",
  "utf-16be": "utf-16be",
  "windows-1252": "windows-1252",
  "iso-8859-1": "windows-1252",
} as const;

/** An encoding a body may be written in. */
export type BodyEncoding = (typeof encodings)[keyof typeof encodings];

/** How a body is written, as its headers say; `encoding` null is left to be found out. */
export type BodyForm = { readonly encoding: BodyEncoding | null; readonly packed: boolean };

/** Reads Content-Type and Content-Encoding; throws Refused for a form that is not taken. */
export function bodyFormOf(headers: Headers): BodyForm {
  const [type = "", ...parameters] = (headers.get("content-type") ?? "").toLowerCase().split(";");
  const media = type.trim();
  const charset = parameters
    .map((one) => /^\s*charset\s*=\s*"?([^"\s]*)"?\s*$/.exec(one)?.[1])
    .find((one) => one !== undefined);
  const packed = isPacked(headers.get("content-encoding"));
  if (media === "application/x-ndjson" || media === "application/jsonl") {
    // JSON that goes from one system to another is in UTF-8 (RFC 8259, section 8.1).
    const encoding = charset === undefined ? "utf-8" : encodingOf(charset);
    if (encoding !== "utf-8") throw unknown("JSON lines are sent in UTF-8");
    return { encoding, packed };
  }
  if (media !== "text/csv") {
    throw unknown(
      `Content-Type must be application/x-ndjson or text/csv, not ${media === "" ? "missing" : media.slice(0, 80)}`,
    );
  }
  return { encoding: charset === undefined ? null : encodingOf(charset), packed };
}

// With the mark that UTF-16 asks for at its beginning, the order of its bytes is found out.
function encodingOf(charset: string): BodyEncoding | null {
  if (charset === "utf-16") return null;
  const [, found] = Object.entries(encodings).find(([name]) => name === charset) ?? [];
  if (found) return found;
  throw unknown(`the charset ${charset.slice(0, 40)} is not taken; send UTF-8, UTF-16 or Windows-1252`);
}

function isPacked(contentEncoding: string | null): boolean {
  const coding = (contentEncoding ?? "").trim().toLowerCase();
  if (coding === "" || coding === "identity") return false;
  if (coding === "gzip" || coding === "x-gzip") return true;
  throw unknown(`Content-Encoding ${coding.slice(0, 40)} is not taken; send gzip or none`, {
    "accept-encoding": "gzip, identity",
  });
}

function unknown(detail: string, headers: Readonly<Record<string, string>> = {}): Refused {
  return new Refused("unknown-media-type", detail, { headers });
}
