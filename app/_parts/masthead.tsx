import Link from "next/link";
import { NavigationLinks } from "@/app/_parts/navigation-links";

/** Name of the product and the screens, at the head of every page. */
export function Masthead() {
  return (
    <header className="no-print border-b border-rule">
      <div className="mx-auto flex max-w-[84rem] flex-wrap items-end justify-between gap-x-10 gap-y-2 px-5 pt-5 pb-2 sm:px-8">
        <Link href="/" className="flex items-center gap-3 py-1 text-ink no-underline">
          <BeamMark />
          <span className="font-serif text-lg font-semibold tracking-[-0.01em]">Rafterline</span>
        </Link>
        <nav aria-label="Screens">
          <NavigationLinks />
        </nav>
      </div>
    </header>
  );
}

/** A beam under a roof: head, line of light, reflector. */
function BeamMark() {
  return (
    <svg viewBox="0 0 44 20" width="44" height="20" aria-hidden="true" focusable="false">
      <path d="M2 11 L22 2 L42 11" fill="none" stroke="var(--faint)" strokeWidth="1.25" />
      <line x1="8" y1="15" x2="36" y2="15" stroke="var(--accent)" strokeWidth="1.75" />
      <rect x="3" y="12" width="6" height="6" fill="var(--ink)" />
      <rect x="35.6" y="12.6" width="4.8" height="4.8" fill="var(--paper)" stroke="var(--ink)" strokeWidth="1.25" />
    </svg>
  );
}
