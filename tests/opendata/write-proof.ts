import { readFileSync, writeFileSync } from "node:fs";
import { proofBegin, proofEnd, proofPath } from "@/tests/opendata/proof-page";
import { proofTables } from "@/tests/opendata/proof-table";
import { rankQuarters } from "@/tests/opendata/rank-quarters";

// Writes the tables that come out into docs/proof.md, between the two marks; `tsx tests/opendata/write-proof.ts`.
const { quarters } = await rankQuarters();
const page = readFileSync(proofPath, "utf8");
const [before = "", rest = ""] = page.split(proofBegin);
const after = rest.split(proofEnd)[1] ?? "";
writeFileSync(proofPath, `${before}${proofBegin}\n\n${proofTables(quarters)}\n${proofEnd}${after}`);
