import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

/** The page whose tables are computed. */
export const proofPath = fileURLToPath(new URL("../../docs/proof.md", import.meta.url));
/** Marks around the computed tables. */
export const proofBegin = "<!-- computed: begin -->";
export const proofEnd = "<!-- computed: end -->";

/** The computed part of the page as it stands, without the marks. */
export function writtenTables(): string {
  const rest = readFileSync(proofPath, "utf8").split(proofBegin)[1] ?? "";
  return (rest.split(proofEnd)[0] ?? "").trim();
}
