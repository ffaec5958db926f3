import { type ComponentType, createElement } from "react";
import { renderToStaticMarkup } from "react-dom/server";
import { formatOf } from "@/app/_parts/format";

/** Format of the tests: British English and euros. */
export const format = formatOf({ locale: "en-GB", currency: "EUR" });

/** Markup of a component as the server sends it. */
export function drawn<Props extends object>(component: ComponentType<Props>, props: Props): string {
  return renderToStaticMarkup(createElement(component, props));
}

/** Title and description of the first picture, and whether it is named by them. */
export function wordsOf(markup: string): { title: string; description: string; named: boolean } {
  const titleId = /<title id="([^"]+)"/.exec(markup)?.[1] ?? "";
  const descriptionId = /<desc id="([^"]+)"/.exec(markup)?.[1] ?? "";
  return {
    title: /<title[^>]*>([^<]*)</.exec(markup)?.[1] ?? "",
    description: /<desc[^>]*>([^<]*)</.exec(markup)?.[1] ?? "",
    named:
      titleId !== "" &&
      markup.includes(`role="img"`) &&
      markup.includes(`aria-labelledby="${titleId} ${descriptionId}"`),
  };
}

/** Values of an attribute of all elements of a name, in their order. */
export function attributes(markup: string, { element, attribute }: { element: string; attribute: string }): string[] {
  const elements = markup.match(new RegExp(`<${element}(?=[\\s>])[^>]*>`, "g")) ?? [];
  return elements.flatMap((tag) => new RegExp(`\\s${attribute}="([^"]*)"`).exec(tag)?.[1] ?? []);
}
