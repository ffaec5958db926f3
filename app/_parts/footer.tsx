import { ThemeChoice } from "@/app/_parts/theme-choice";
import type { Theme } from "@/app/_server/theme";

/** The cautions that stand under every page, and the choice of light or dark. */
export function Footer({ theme }: { theme: Theme }) {
  return (
    <footer className="mt-20 border-t border-rule bg-sunk">
      <div className="mx-auto grid max-w-[84rem] gap-8 px-5 py-8 text-sm text-soft sm:px-8 lg:grid-cols-[1fr_auto]">
        <div className="max-w-[72ch] space-y-2">
          <p className="font-serif text-base text-ink">Rafterline advises on order and money; people decide.</p>
          <p>
            It releases nobody from a statutory test, from a fire alarm engineer’s judgement or from local code. Work on
            a live system needs an agreed disablement, notice to the monitoring centre and to the insurer where
            required, a fire watch where local code says so, and safe access at height. No ranking hides an overdue
            test.
          </p>
        </div>
        <ThemeChoice theme={theme} />
      </div>
    </footer>
  );
}
