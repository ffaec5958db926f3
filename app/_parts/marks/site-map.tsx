import { type GeoProjection, geoBounds, geoPath } from "d3-geo";
import Link from "next/link";
import { useId } from "react";
import { feature } from "topojson-client";
import atlas from "world-atlas/countries-50m.json";
import type { Format } from "@/app/_parts/format";
import { costInk, costStep } from "@/app/_parts/marks/cost-ink";
import { CostLegend } from "@/app/_parts/marks/cost-legend";
import { labelsOf } from "@/app/_parts/marks/map-labels";
import { type MapSite, PANEL, panelsOf, projectionOf } from "@/app/_parts/marks/map-panels";

const countries = feature(atlas, atlas.objects.countries).features.map((shape) => ({
  shape,
  bounds: geoBounds(shape),
}));
const NAMED = 8;

/** Sites on their map, dots sized and inked by expected cost; the dearest are named, and all stand in the list below. */
export function SiteMap({ sites, format }: { sites: readonly MapSite[]; format: Format }) {
  const highest = Math.max(0, ...sites.map(({ expectedCost }) => expectedCost));
  const panels = panelsOf(sites);
  const named = new Set(
    [...sites]
      .sort(dearestFirst)
      .slice(0, NAMED)
      .map(({ siteId }) => siteId),
  );
  return (
    <figure>
      <div className="grid gap-px overflow-hidden border border-rule bg-rule sm:grid-cols-[repeat(auto-fit,minmax(18rem,1fr))]">
        {panels.map((panel) => (
          <Panel key={panel[0]?.siteId ?? "none"} sites={panel} highest={highest} named={named} format={format} />
        ))}
      </div>
      <figcaption>
        <CostLegend
          highest={highest}
          format={format}
          note={`Area of a dot and its ink: expected cost. Coastlines: Natural Earth, public domain.`}
        />
      </figcaption>
      <details className="mt-3 text-sm">
        <summary className="w-fit text-soft underline decoration-rule underline-offset-4 hover:text-accent">
          The map as a list
        </summary>
        <ol className="mt-3 grid gap-x-8 gap-y-1 sm:grid-cols-2">
          {[...sites].sort(dearestFirst).map(({ siteId, name, expectedCost }) => (
            <li key={siteId} className="flex justify-between gap-4 border-b border-rule py-1">
              <Link href={`/sites/${encodeURIComponent(siteId)}`}>{name}</Link>
              <span>{format.moneyAbout(expectedCost)}</span>
            </li>
          ))}
        </ol>
      </details>
    </figure>
  );
}

function Panel({
  sites,
  highest,
  named,
  format,
}: {
  sites: readonly MapSite[];
  highest: number;
  named: ReadonlySet<string>;
  format: Format;
}) {
  const id = useId();
  const projection = projectionOf(sites);
  const dots = [...sites].sort(dearestFirst).flatMap((site) => dotOf(site, { projection, highest }));
  return (
    <svg
      role="img"
      aria-labelledby={`${id}t ${id}d`}
      viewBox={`0 0 ${PANEL.width} ${PANEL.height}`}
      className="block h-auto w-full bg-paper"
      focusable="false"
    >
      <title id={`${id}t`}>{`Map of ${sites.length} sites by expected cost`}</title>
      <desc id={`${id}d`}>{mapWords(sites, format)}</desc>
      <Land projection={projection} />
      {dots.map(({ site, x, y, radius, step }) => (
        <circle
          key={site.siteId}
          cx={x}
          cy={y}
          r={radius}
          fill={costInk(step)}
          fillOpacity="0.92"
          stroke="var(--ink)"
          strokeWidth="1"
        />
      ))}
      {labelsOf(
        dots.map(({ site, ...dot }) => ({ ...dot, id: site.siteId, name: site.name })),
        named,
      ).map(({ id: siteId, name, x, y, anchor }) => (
        <text
          key={siteId}
          x={x}
          y={y}
          textAnchor={anchor}
          fontSize="13"
          fill="var(--ink)"
          stroke="var(--paper)"
          strokeWidth="3.5"
          strokeLinejoin="round"
          paintOrder="stroke"
        >
          {name}
        </text>
      ))}
    </svg>
  );
}

function Land({ projection }: { projection: GeoProjection }) {
  const path = geoPath(projection).digits(1);
  const corners = [projection.invert?.([0, PANEL.height]), projection.invert?.([PANEL.width, 0])];
  const [west, south] = corners[0] ?? [-180, -90];
  const [east, north] = corners[1] ?? [180, 90];
  // Only what can be seen is projected; a country over the date line has its west east of its east and is kept.
  const seen = countries.filter(
    ({ bounds: [[left, bottom], [right, top]] }) =>
      left > right || (left <= east && right >= west && bottom <= north && top >= south),
  );
  return (
    <path
      d={seen.map(({ shape }) => path(shape) ?? "").join("")}
      fill="var(--land)"
      stroke="var(--coast)"
      strokeWidth="0.8"
      strokeLinejoin="round"
    />
  );
}

function dotOf(site: MapSite, { projection, highest }: { projection: GeoProjection; highest: number }) {
  const place = projection([site.longitude, site.latitude]);
  if (!place) return [];
  const [x, y] = place;
  const radius = 3 + 10 * Math.sqrt(highest > 0 ? Math.max(0, site.expectedCost) / highest : 0);
  return [
    {
      site,
      x: Number(x.toFixed(1)),
      y: Number(y.toFixed(1)),
      radius: Number(radius.toFixed(1)),
      step: costStep(site.expectedCost, highest),
    },
  ];
}

function mapWords(sites: readonly MapSite[], format: Format): string {
  const first = [...sites].sort(dearestFirst).slice(0, 3);
  const named = first.map(({ name, expectedCost }) => `${name} ${format.moneyAbout(expectedCost)}`).join(", ");
  return `Dearest: ${named}. All sites stand in the list below the map.`;
}

function dearestFirst(a: MapSite, b: MapSite): number {
  return b.expectedCost - a.expectedCost || a.siteId.localeCompare(b.siteId);
}
