declare module "world-atlas/countries-50m.json" {
  import type { GeometryCollection, Topology } from "topojson-specification";

  const topology: Topology<{ countries: GeometryCollection<{ name: string }>; land: GeometryCollection }>;
  // biome-ignore lint/style/noDefaultExport: a JSON module is its default export
  export default topology;
}
