import { chooseTheme } from "@/app/_server/choose-theme";
import { type Theme, themes } from "@/app/_server/theme";

const labels: Record<Theme, string> = { system: "As the system", light: "Light", dark: "Dark" };

/** Three buttons that keep the reader's choice of paper in a cookie; works without scripts. */
export function ThemeChoice({ theme }: { theme: Theme }) {
  return (
    <form action={chooseTheme} className="no-print">
      <fieldset className="flex items-center gap-4">
        <legend className="sr-only">Paper</legend>
        {themes.map((choice) => (
          <button
            key={choice}
            type="submit"
            name="theme"
            value={choice}
            aria-pressed={choice === theme}
            className="cursor-pointer py-1 text-soft underline decoration-rule underline-offset-4 hover:text-accent aria-pressed:text-ink aria-pressed:decoration-accent aria-pressed:decoration-2"
          >
            {labels[choice]}
          </button>
        ))}
      </fieldset>
    </form>
  );
}
