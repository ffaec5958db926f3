/** A beam of a site as the plan needs it. */
export type RoofBeam = {
  readonly detectorId: string;
  readonly label: string;
  readonly form: "reflective" | "end_to_end";
  readonly bearingDeg: number;
  readonly pathLengthM: number;
  readonly latestSignalPct: number | null;
  readonly expectedCost: number;
};

/** A point of the plan in metres, x to the east, y to the south. */
export type Point = { readonly x: number; readonly y: number };

/** A beam set down on the plan. */
export type PlacedBeam = { readonly beam: RoofBeam; readonly head: Point; readonly far: Point };

/** The plan: beams and the frame around them in metres. */
export type RoofLayout = { readonly beams: readonly PlacedBeam[]; readonly widthM: number; readonly heightM: number };

const SPACING_M = 13;
const GROUP_GAP_M = 24;
const SAME_BEARING_DEG = 12;
const PAD_M = 12;
/** Widths of a shelf to try, and how much wider than high the plan should come out. */
const SHELVES_M = [110, 150, 200, 250, 300, 350, 400];
const ASPECT = 1.6;

/**
 * Beams set beside each other: those of one direction in parallel rows, each group of directions in its own field,
 * fields side by side on shelves.
 *
 * Bearing and length are true to scale; where a beam stands is not in the data, so the rows are a convention.
 */
export function roofLayoutOf(beams: readonly RoofBeam[]): RoofLayout {
  const fields = groupsOf(beams).map(rowsOf);
  const offness = ({ widthM, heightM }: RoofLayout) => Math.abs(Math.log(widthM / heightM / ASPECT));
  return SHELVES_M.map((shelfM) => onShelves(fields, shelfM)).reduce((best, plan) =>
    offness(plan) < offness(best) ? plan : best,
  );
}

/** Fields side by side on shelves of a width, in a frame with some room around. */
function onShelves(fields: readonly PlacedBeam[][], widest: number): RoofLayout {
  const placed: PlacedBeam[] = [];
  let [left, top, shelfM] = [0, 0, 0];
  for (const rows of fields) {
    const frame = frameOf(rows);
    const { widthM, heightM } = sizeOf(rows);
    if (left > 0 && left + widthM > widest) [left, top, shelfM] = [0, top + shelfM + GROUP_GAP_M, 0];
    const shift = { x: left - frame.left, y: top - frame.top };
    placed.push(...rows.map((row) => movedBy(row, shift)));
    left += widthM + GROUP_GAP_M;
    shelfM = Math.max(shelfM, heightM);
  }
  const frame = frameOf(placed);
  return {
    beams: placed.map((row) => movedBy(row, { x: PAD_M - frame.left, y: PAD_M - frame.top })),
    widthM: frame.right - frame.left + 2 * PAD_M,
    heightM: frame.bottom - frame.top + 2 * PAD_M,
  };
}

/** Beams of like direction together, either way along the line; the largest group first. */
function groupsOf(beams: readonly RoofBeam[]): RoofBeam[][] {
  const groups: RoofBeam[][] = [];
  for (const beam of beams) {
    const group = groups.find(([first]) => first && apartDeg(first.bearingDeg, beam.bearingDeg) <= SAME_BEARING_DEG);
    if (group) group.push(beam);
    else groups.push([beam]);
  }
  return groups.sort((a, b) => b.length - a.length);
}

/** Angle between two lines without direction, 0..90 degrees. */
function apartDeg(a: number, b: number): number {
  const apart = Math.abs(a - b) % 180;
  return Math.min(apart, 180 - apart);
}

/** Parallel rows across the direction of the first beam, each centred on the axis of the group. */
function rowsOf(group: readonly RoofBeam[]): PlacedBeam[] {
  const axis = directionOf(group[0]?.bearingDeg ?? 90);
  const across = { x: -axis.y, y: axis.x };
  return group.map((beam, index) => {
    const along = directionOf(beam.bearingDeg);
    const middle = { x: across.x * index * SPACING_M, y: across.y * index * SPACING_M };
    const half = beam.pathLengthM / 2;
    return {
      beam,
      head: { x: middle.x - along.x * half, y: middle.y - along.y * half },
      far: { x: middle.x + along.x * half, y: middle.y + along.y * half },
    };
  });
}

function directionOf(bearingDeg: number): Point {
  const angle = (bearingDeg * Math.PI) / 180;
  return { x: Math.sin(angle), y: -Math.cos(angle) };
}

function movedBy({ beam, head, far }: PlacedBeam, { x, y }: Point): PlacedBeam {
  return { beam, head: { x: head.x + x, y: head.y + y }, far: { x: far.x + x, y: far.y + y } };
}

function sizeOf(rows: readonly PlacedBeam[]): { widthM: number; heightM: number } {
  const { left, right, top, bottom } = frameOf(rows);
  return { widthM: right - left, heightM: bottom - top };
}

function frameOf(rows: readonly PlacedBeam[]): { left: number; right: number; top: number; bottom: number } {
  const points = rows.flatMap(({ head, far }) => [head, far]);
  if (points.length === 0) return { left: 0, right: 0, top: 0, bottom: 0 };
  const xs = points.map(({ x }) => x);
  const ys = points.map(({ y }) => y);
  return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) };
}
