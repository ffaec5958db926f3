import type { FileDescription } from "@/lib/services/describe-file";

/** Whether a file gets through, as a beam: whole when it is ready, with a gap where it asks, broken off when it cannot be read. */
export function BeamState({ state }: { state: FileDescription["state"] | "looking" }) {
  return (
    <svg viewBox="0 0 56 14" width="56" height="14" aria-hidden="true" focusable="false" className="shrink-0">
      {state === "ready" ? <line x1="10" x2="46" y1="7" y2="7" stroke="var(--accent)" strokeWidth="2" /> : null}
      {state === "asks" ? (
        <>
          <line x1="10" x2="20" y1="7" y2="7" stroke="var(--ink)" strokeWidth="2" />
          <line x1="36" x2="46" y1="7" y2="7" stroke="var(--ink)" strokeWidth="2" />
          <circle cx="28" cy="7" r="4.25" fill="none" stroke="var(--ink)" strokeWidth="1.5" />
        </>
      ) : null}
      {state === "unreadable" ? (
        <path d="M10 7H26M23 3L29 11M29 3L23 11" fill="none" stroke="var(--worse)" strokeWidth="1.75" />
      ) : null}
      {state === "looking" ? (
        <line x1="10" x2="46" y1="7" y2="7" stroke="var(--faint)" strokeWidth="1.5" strokeDasharray="2 4" />
      ) : null}
      <rect x="0" y="2" width="10" height="10" fill="var(--ink)" />
      <rect x="46.5" y="2.5" width="9" height="9" fill="var(--paper)" stroke="var(--ink)" />
    </svg>
  );
}
