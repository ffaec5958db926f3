import { type ReactNode, useId } from "react";

/** A picture drawn on the server: as wide as its place, `heightPx` tall, said in words by title and description. */
export function Mark({
  title,
  description,
  heightPx,
  children,
}: {
  title: string;
  description: string;
  heightPx: number;
  children: ReactNode;
}) {
  const id = useId();
  return (
    <svg
      role="img"
      aria-labelledby={`${id}t ${id}d`}
      width="100%"
      height={heightPx}
      className="block overflow-visible"
      focusable="false"
    >
      <title id={`${id}t`}>{title}</title>
      <desc id={`${id}d`}>{description}</desc>
      {children}
    </svg>
  );
}

/** Width of the inner space of {@link Stretch}, whatever the width on the page. */
export const STRETCH_WIDTH = 1000;

/** Lines and areas in a space of {@link STRETCH_WIDTH} by `heightPx`, stretched to the width of the picture; strokes keep their width. */
export function Stretch({ heightPx, y = 0, children }: { heightPx: number; y?: number; children: ReactNode }) {
  return (
    <svg
      x="0"
      y={y}
      width="100%"
      height={heightPx}
      viewBox={`0 0 ${STRETCH_WIDTH} ${heightPx}`}
      preserveAspectRatio="none"
      overflow="visible"
      aria-hidden="true"
    >
      {children}
    </svg>
  );
}

/** A place along the width of a picture, from a fraction 0..1. */
export function across(fraction: number): string {
  return `${(fraction * 100).toFixed(2)}%`;
}

/** A label of an axis or a line. */
export function Label({
  x,
  y,
  anchor = "start",
  strong = false,
  children,
}: {
  x: string | number;
  y: number;
  anchor?: "start" | "middle" | "end";
  strong?: boolean;
  children: ReactNode;
}) {
  return (
    <text x={x} y={y} textAnchor={anchor} fontSize="12.5" fill={strong ? "var(--ink)" : "var(--soft)"}>
      {children}
    </text>
  );
}

/** Where a label stands so that it stays inside: at the ends it leans inwards. */
export function anchorAt(fraction: number): "start" | "middle" | "end" {
  if (fraction < 0.06) return "start";
  return fraction > 0.94 ? "end" : "middle";
}
