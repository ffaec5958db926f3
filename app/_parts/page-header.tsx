import type { ReactNode } from "react";

/** Title of a page in serif, with where it belongs above and the sentence that answers the page below. */
export function PageHeader({ title, above, lead }: { title: ReactNode; above?: ReactNode; lead?: ReactNode }) {
  return (
    <header className="mb-10 max-w-[62rem]">
      {above ? <p className="mb-1 text-sm text-soft">{above}</p> : null}
      <h1 className="font-serif text-3xl font-semibold tracking-[-0.015em] text-balance">{title}</h1>
      {lead ? <div className="mt-4 max-w-[58ch] font-serif text-lg leading-8 text-ink text-pretty">{lead}</div> : null}
    </header>
  );
}
