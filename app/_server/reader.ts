import "server-only";
import { headers } from "next/headers";
import { type Format, formatOf } from "@/app/_parts/format";

/** How this reader writes numbers, dates and money: the first language the browser asks for that the runtime knows. */
export async function currentFormat({ currency = "EUR" }: { currency?: string } = {}): Promise<Format> {
  const asked = await headers();
  return formatOf({ locale: localeOf(asked.get("accept-language")), currency });
}

/** First known locale of an Accept-Language header by weight; en-GB when there is none. */
export function localeOf(acceptLanguage: string | null): string {
  const wishes = (acceptLanguage ?? "")
    .split(",")
    .map((part) => {
      const [tag = "", weight = "q=1"] = part.trim().split(";");
      return { tag: tag.trim(), weight: Number(weight.trim().slice(2)) || 0 };
    })
    .sort((a, b) => b.weight - a.weight);
  return wishes.find(({ tag }) => isKnown(tag))?.tag ?? "en-GB";
}

function isKnown(tag: string): boolean {
  try {
    return Intl.NumberFormat.supportedLocalesOf(tag).length > 0;
  } catch {
    return false;
  }
}
