import { PANEL } from "@/app/_parts/marks/map-panels";

/** A dot of the map in the units of its panel, and the name it may carry. */
export type MapDot = {
  readonly id: string;
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly radius: number;
};

/** A name set beside its dot. */
export type MapLabel = {
  readonly id: string;
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly anchor: "start" | "end";
};

type Box = { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number };

/** Width of a letter and height of a line at the size of the names. */
const LETTER = 6.6;
const LINE = 15;
const GAP = 5;

/** Names of the dots in `named`, each on the side where it covers least; one that would cover another name is left out. */
export function labelsOf(dots: readonly MapDot[], named: ReadonlySet<string>): MapLabel[] {
  const taken: Box[] = [];
  const labels: MapLabel[] = [];
  for (const dot of dots.filter(({ id }) => named.has(id))) {
    const others = dots.filter(({ id }) => id !== dot.id).map(boxOfDot);
    const choices = [labelAt(dot, "start"), labelAt(dot, "end")]
      .filter(({ box }) => box.left >= 0 && box.right <= PANEL.width && !taken.some((other) => overlap(box, other)))
      .sort((a, b) => covered(a.box, others) - covered(b.box, others));
    const [best] = choices;
    if (!best) continue;
    taken.push(best.box);
    labels.push(best.label);
  }
  return labels;
}

function labelAt({ id, name, x, y, radius }: MapDot, anchor: "start" | "end"): { label: MapLabel; box: Box } {
  const width = name.length * LETTER;
  const at = anchor === "start" ? x + radius + GAP : x - radius - GAP;
  const left = anchor === "start" ? at : at - width;
  return {
    label: { id, name, x: at, y: y + 4, anchor },
    box: { left, right: left + width, top: y - LINE / 2, bottom: y + LINE / 2 },
  };
}

function boxOfDot({ x, y, radius }: MapDot): Box {
  return { left: x - radius, right: x + radius, top: y - radius, bottom: y + radius };
}

function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

function covered(box: Box, others: readonly Box[]): number {
  return others.filter((other) => overlap(box, other)).length;
}
