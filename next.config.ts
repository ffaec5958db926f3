import type { NextConfig } from "next";

const config: NextConfig = {
  poweredByHeader: false,
  typedRoutes: true,
  // The command line runs the same code through tsx, outside the bundle; the type check is a step of `npm run check`.
  serverExternalPackages: ["better-sqlite3"],
};

export default config;
