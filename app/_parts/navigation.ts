/** The screens in the order in which they are read. A new page adds its line here. */
export const screens = [
  { href: "/", label: "Overview" },
  { href: "/sites", label: "Sites" },
  { href: "/detectors", label: "Detectors" },
  { href: "/proof", label: "Proof" },
  { href: "/imports", label: "Imports" },
  { href: "/settings", label: "Settings" },
] as const;
