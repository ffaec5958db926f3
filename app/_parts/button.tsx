import type { ReactNode } from "react";

const shared =
  "inline-block cursor-pointer border px-4 py-2 font-medium no-underline disabled:cursor-not-allowed disabled:opacity-60";

/** Look of a button, also for a link that acts like one. */
export const buttonLook = {
  main: `${shared} border-ink bg-ink text-paper hover:border-accent hover:bg-accent`,
  plain: `${shared} border-ink bg-transparent text-ink hover:border-accent hover:text-accent`,
} as const;

/** A button; `main` is the one thing a form is for. */
export function Button({
  children,
  look = "plain",
  type = "button",
  disabled = false,
  onClick,
  name,
  value,
}: {
  children: ReactNode;
  look?: keyof typeof buttonLook;
  type?: "button" | "submit";
  disabled?: boolean;
  onClick?: () => void;
  name?: string;
  value?: string;
}) {
  return (
    <button type={type} disabled={disabled} onClick={onClick} name={name} value={value} className={buttonLook[look]}>
      {children}
    </button>
  );
}
