"use client";

import Link, { useLinkStatus } from "next/link";
import { usePathname } from "next/navigation";
import { screens } from "@/app/_parts/navigation";

/** Links to the screens; the one in view is drawn as a beam with its two ends and named to a screen reader. */
export function NavigationLinks() {
  const path = usePathname();
  return (
    <ul className="flex flex-wrap gap-x-4 gap-y-1 sm:gap-x-6">
      {screens.map(({ href, label }) => {
        const current = href === "/" ? path === "/" : path === href || path.startsWith(`${href}/`);
        return (
          <li key={href}>
            <Link
              href={href}
              aria-current={current ? "page" : undefined}
              className="group relative block py-2 text-ink no-underline hover:text-accent aria-[current]:text-accent"
            >
              {label}
              <Beam />
            </Link>
          </li>
        );
      })}
    </ul>
  );
}

/** The beam under a link; broken while its page is being fetched, since the page in view stays until then. */
function Beam() {
  const { pending } = useLinkStatus();
  return (
    <>
      <span
        aria-hidden="true"
        data-pending={pending ? "" : undefined}
        className="absolute inset-x-0 bottom-1 hidden border-t border-accent before:absolute before:-top-[3px] before:left-0 before:size-[5px] before:bg-accent after:absolute after:-top-[3px] after:right-0 after:size-[5px] after:border after:border-accent after:bg-paper group-hover:block group-aria-[current]:block data-pending:block data-pending:border-dashed"
      />
      {pending ? (
        <span role="status" className="sr-only">
          , on its way
        </span>
      ) : null}
    </>
  );
}
