import type { ReactNode } from "react";

/** The numbers behind a picture, folded away until asked for; `summary` is its own on the page. */
export function DataBehind({ summary, children }: { summary: string; children: ReactNode }) {
  return (
    <details className="mt-3 text-sm">
      <summary className="w-fit text-soft underline decoration-rule underline-offset-4 hover:text-accent">
        {summary}
      </summary>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by keyboard */}
      <section className="mt-3 max-h-96 overflow-auto pr-2" tabIndex={0} aria-label={summary}>
        {children}
      </section>
    </details>
  );
}
