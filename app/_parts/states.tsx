import type { ReactNode } from "react";

/** A place with nothing in it yet: what would stand here and what to do to get it. */
export function EmptyState({ title, children }: { title: string; children: ReactNode }) {
  return (
    <div className="max-w-[60ch] border-l-2 border-rule py-1 pl-5">
      <p className="font-serif text-lg">{title}</p>
      <div className="mt-2 space-y-3 text-soft">{children}</div>
    </div>
  );
}

/** Something went wrong: what is known, what is safe, what to do. */
export function FailedState({ title, children }: { title: string; children: ReactNode }) {
  return (
    <div role="alert" className="max-w-[60ch] border-l-2 border-worse py-1 pl-5">
      <p className="font-serif text-lg">{title}</p>
      <div className="mt-2 space-y-3 text-soft">{children}</div>
    </div>
  );
}

/** A remark the reader must not miss, such as results older than the data. */
export function Notice({ children }: { children: ReactNode }) {
  return <div className="mb-8 max-w-[72ch] border-l-2 border-accent bg-accent-wash px-5 py-3">{children}</div>;
}
