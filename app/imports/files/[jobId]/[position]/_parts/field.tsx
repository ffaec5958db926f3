import { type ReactNode, useId } from "react";

/** Look of an input or select of the editor. */
export const fieldLook =
  "min-w-0 max-w-full border border-faint bg-raised px-2 py-1 text-sm text-ink hover:border-accent disabled:opacity-60";

/** An option of a {@link Choice}. */
export type Option = { readonly value: string; readonly text: string };

/** A list to choose from under its name; `hideLabel` leaves the name to those who hear it. */
export function Choice({
  label,
  value,
  options,
  onChange,
  hideLabel = false,
  disabled = false,
}: {
  label: string;
  value: string;
  options: readonly Option[];
  onChange: (value: string) => void;
  hideLabel?: boolean;
  disabled?: boolean;
}) {
  const id = useId();
  return (
    <Labelled id={id} label={label} hideLabel={hideLabel}>
      <select
        id={id}
        value={value}
        disabled={disabled}
        onChange={(event) => onChange(event.target.value)}
        className={`${fieldLook} cursor-pointer`}
      >
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.text}
          </option>
        ))}
      </select>
    </Labelled>
  );
}

/** A line to type in under its name. */
export function TextField({
  label,
  value,
  onChange,
  hideLabel = false,
  size,
  inputMode = "text",
}: {
  label: string;
  value: string;
  onChange: (value: string) => void;
  hideLabel?: boolean;
  size?: number;
  inputMode?: "text" | "numeric" | "decimal";
}) {
  const id = useId();
  return (
    <Labelled id={id} label={label} hideLabel={hideLabel}>
      <input
        id={id}
        type="text"
        size={size}
        inputMode={inputMode}
        value={value}
        dir="auto"
        autoComplete="off"
        onChange={(event) => onChange(event.target.value)}
        className={fieldLook}
      />
    </Labelled>
  );
}

function Labelled({
  id,
  label,
  hideLabel,
  children,
}: {
  id: string;
  label: string;
  hideLabel: boolean;
  children: ReactNode;
}) {
  return (
    <span className="inline-flex max-w-full min-w-0 flex-col">
      <label htmlFor={id} className={hideLabel ? "sr-only" : "text-xs text-soft"}>
        {label}
      </label>
      {children}
    </span>
  );
}
