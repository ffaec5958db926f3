import type { Route } from "next";
import Link from "next/link";

/** Way through the pages of a table; `hrefOf` gives the address of a page, the first one is 1. */
export function Pager({
  page,
  pages,
  total,
  what,
  hrefOf,
}: {
  page: number;
  pages: number;
  total: string;
  what: string;
  hrefOf: (page: number) => Route;
}) {
  return (
    <nav aria-label={`Pages of ${what}`} className="mt-6 flex flex-wrap items-baseline gap-x-6 gap-y-2 text-sm">
      <span className="text-soft">
        Page {page} of {pages}, {total} {what}
      </span>
      {page > 1 ? <Link href={hrefOf(page - 1)}>Earlier page</Link> : null}
      {page < pages ? <Link href={hrefOf(page + 1)}>Next page</Link> : null}
    </nav>
  );
}
