import { type GeoProjection, geoDistance, geoMercator } from "d3-geo";

/** A place on the map with what it costs. */
export type MapSite = {
  readonly siteId: string;
  readonly name: string;
  readonly latitude: number;
  readonly longitude: number;
  readonly expectedCost: number;
};

/** Size of a panel of the map, in its own units. */
export const PANEL = { width: 460, height: 400 } as const;

const JOIN_RADIANS = (7 * Math.PI) / 180;
const MOST_PANELS = 4;
const MARGIN = 46;
/** A panel shows at least this much around a lone site, degrees. */
const LEAST_DEG = 1.2;

/** Sites in groups that stand near each other, largest first, so that two countries far apart get a panel each; one group when they are too many. */
export function panelsOf<Site extends MapSite>(sites: readonly Site[]): Site[][] {
  const groups: Site[][] = [];
  for (const site of sites) {
    const near = groups.filter((group) =>
      group.some((other) => geoDistance(placeOf(other), placeOf(site)) < JOIN_RADIANS),
    );
    for (const group of near) groups.splice(groups.indexOf(group), 1);
    groups.push([...near.flat(), site]);
  }
  if (groups.length > MOST_PANELS) return [[...sites]];
  return groups.sort((a, b) => b.length - a.length);
}

/** Projection that fits the sites of a panel with a margin. */
export function projectionOf(sites: readonly MapSite[]): GeoProjection {
  const longitudes = sites.map(({ longitude }) => longitude);
  const latitudes = sites.map(({ latitude }) => latitude);
  const corners: [number, number][] = [
    [Math.min(...longitudes) - LEAST_DEG, Math.min(...latitudes) - LEAST_DEG / 2],
    [Math.max(...longitudes) + LEAST_DEG, Math.max(...latitudes) + LEAST_DEG / 2],
  ];
  return geoMercator()
    .fitExtent(
      [
        [MARGIN, MARGIN],
        [PANEL.width - MARGIN, PANEL.height - MARGIN],
      ],
      { type: "MultiPoint", coordinates: corners },
    )
    .clipExtent([
      [0, 0],
      [PANEL.width, PANEL.height],
    ]);
}

function placeOf({ longitude, latitude }: MapSite): [number, number] {
  return [longitude, latitude];
}
