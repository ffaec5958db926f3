import type { ReactNode } from "react";

/** Part of a page: its name and a note in the margin, its matter right of the rule. */
export function Section({
  id,
  title,
  note,
  children,
}: {
  id: string;
  title: ReactNode;
  note?: ReactNode;
  children: ReactNode;
}) {
  return (
    <section aria-labelledby={`${id}-title`} id={id} className="notebook mb-14 scroll-mt-4">
      <div className="mb-4 pr-6 lg:mb-0">
        <h2 id={`${id}-title`} className="font-serif text-lg leading-snug font-semibold text-balance">
          {title}
        </h2>
        {note ? <div className="mt-2 max-w-[60ch] text-sm text-soft text-pretty">{note}</div> : null}
      </div>
      <div className="notebook-body min-w-0">{children}</div>
    </section>
  );
}
