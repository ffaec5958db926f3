import { join } from "node:path";
import type { Browser, BrowserContext, Locator, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { axeFindings, looks, openBrowser, openContext, sidewaysOverflow } from "./browser";
import { writeForeignFiles } from "./foreign-files";
import { type RunningServer, run, startServer } from "./server";

const PATIENCE_MS = 45_000;

let browser: Browser;
let server: RunningServer;
let context: BrowserContext;
let page: Page;
let files: ReturnType<typeof writeForeignFiles>;
const errors: string[] = [];

beforeAll(async () => {
  [browser, server] = await Promise.all([openBrowser(), startServer({ portfolio: "empty" })]);
  files = writeForeignFiles(join(server.folder, "files"));
  run(["app/_cli/main.ts", "--db", server.store, "import", files.sites, files.detectors]);
  context = await openContext(browser, looks[0], errors);
  context.setDefaultTimeout(PATIENCE_MS);
  page = await context.newPage();
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

afterEach(() => expect(errors.splice(0)).toEqual([]));

const file = (name: string) => page.getByRole("article", { name });
const rule = (column: string): Locator => page.getByRole("group", { name: new RegExp(`^${column}\\b`) });

async function drop(...paths: string[]): Promise<void> {
  await page.goto(new URL("/imports", server.url).href);
  await page.locator("main input[type=file]").setInputFiles(paths);
  await page.waitForURL(/job=/);
}

/** The rows of the file, each as the texts of its cells. */
async function previewed(): Promise<string[][]> {
  const rows = await page.getByRole("table", { name: "What becomes of the rows" }).locator("tbody tr").all();
  return Promise.all(rows.slice(0, 4).map((row) => row.locator("th, td").allTextContents()));
}

describe("a panel's print with columns and words of its own", { timeout: 60_000 }, () => {
  it("is understood as far as it can be, and says what it does not know before anything is stored", async () => {
    await drop(files.print);
    const described = file("print 2024-05.txt");
    await described.getByText("events, needs a look").waitFor();
    await expect(described.textContent()).resolves.toMatch(/semicolons, Windows-1252, 24 rows/);
    await expect(described.textContent()).resolves.toMatch(/Größe 7 verfehlt.*\(6 rows\)/);
    expect(await page.getByRole("button", { name: /^Import/ }).count()).toBe(0);
    await described.getByRole("link", { name: "See and fix" }).click();
    await page.getByRole("heading", { level: 1, name: "print 2024-05.txt" }).waitFor();
    expect(await axeFindings(page)).toEqual([]);
    // Loop and address stand apart and without their zeros: the guess spells them as the known detectors are called.
    await page.getByText("Of its 24 rows, 24 would go in.").waitFor();
  });

  it("is mended on its own rows: digits of the ids, the meaning of a word, each seen at once", async () => {
    const id = rule("detector_id");
    await id.getByLabel("detector_id, part 1, digits").selectOption("as it is");
    await page.getByText("24 would wait for a site or detector that is not known yet").waitFor();
    await id.getByText("Known detectors are called 01-001, 01-002 and 02-001.").waitFor();
    await id.getByLabel("detector_id, part 1, digits").selectOption("2 digits");
    await page.getByText("Of its 24 rows, 24 would go in.").waitFor();
    expect((await page.getByRole("table", { name: "What becomes of the rows" }).textContent()) ?? "").not.toContain(
      "Größe",
    );
    await rule("cause").getByLabel("Größe 7 verfehlt stands for").selectOption("path blocked");
    await rule("cause").getByText("All 2 words have a meaning.").waitFor();
    await page.reload();
    await page.getByText("Of its 24 rows, 24 would go in.").waitFor();
    const [first, second] = await previewed();
    expect(first).toEqual(expect.arrayContaining(["2", "01-001", "2024-05-10T08:15:00", "fault", "low_signal"]));
    expect(second?.[1]).toMatch(/goes in, joined/);
    await page.setViewportSize({ width: 390, height: 844 });
    expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
    expect(await axeFindings(page)).toEqual([]);
    await page.setViewportSize({ width: looks[0].width, height: looks[0].height });
  });

  it("goes in under a saved mapping, and the report names it; the next print needs two clicks", async () => {
    await page.getByLabel("Name of the mapping").fill("Depot panel");
    await page.getByRole("button", { name: "Save and use it" }).click();
    await file("print 2024-05.txt").getByText("Read by “Depot panel”, version 1.").waitFor();
    await page.getByRole("button", { name: "Import this file" }).click();
    await page.getByText(/The files are in/).waitFor();
    const report = page.getByRole("list", { name: "Files" });
    await expect(report.textContent()).resolves.toContain("24 rows, 24 accepted");
    await expect(report.textContent()).resolves.toContain("by the mapping “Depot panel”, version 1");

    await drop(files.print);
    await file("print 2024-05.txt")
      .getByText("Read by “Depot panel”, version 1, made for files with these columns.")
      .waitFor();
    await page.getByRole("button", { name: "Import this file" }).waitFor();
    await page.goto(new URL("/imports/mappings/Depot%20panel", server.url).href);
    await page.getByRole("heading", { level: 1, name: "Depot panel" }).waitFor();
    await expect(
      page
        .getByRole("table", { name: /^Files read by/ })
        .locator("tbody tr")
        .count(),
    ).resolves.toBe(1);
    expect(await axeFindings(page)).toEqual([]);
  });
});

describe("dates that can be read in two ways", { timeout: 60_000 }, () => {
  it("are asked about, answered by one press, and read so", async () => {
    await drop(files.levels);
    const described = file("levels.csv");
    await described.getByText(/can be read in several ways/).waitFor();
    await described.getByRole("button", { name: /Month first/ }).click();
    await described.getByText(/can be read in several ways/).waitFor({ state: "detached" });
    await described.getByRole("link", { name: "See and fix" }).click();
    await page.getByText("Of its 12 rows, 12 would go in.").waitFor();
    const [first] = await previewed();
    expect(first).toEqual(expect.arrayContaining(["01-001", "2024-01-12T07:30:00", "90.5"]));
    await page.getByRole("button", { name: "Use it this once" }).click();
    await file("levels.csv").getByText("Read as you set it.").waitFor();
    await page.getByRole("button", { name: "Import this file" }).waitFor();
  });
});
