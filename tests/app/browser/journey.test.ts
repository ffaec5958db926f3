import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import type { Browser, BrowserContext, Locator, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { looks, openBrowser, openContext } from "./browser";
import { counts, worst, writeJourneyFiles } from "./journey-files";
import { type RunningServer, run, startServer } from "./server";

const PATIENCE_MS = 45_000;
const kinds = ["work", "readings", "sites", "events", "detectors"] as const;

let browser: Browser;
let server: RunningServer;
let context: BrowserContext;
let page: Page;
let files: string[] = [];
/** Net benefit of the best visit as the settings were delivered, in cents. */
let deliveredNet = 0;
const errors: string[] = [];

beforeAll(async () => {
  [browser, server] = await Promise.all([openBrowser(), startServer({ portfolio: "empty" })]);
  files = writeJourneyFiles(join(server.folder, "files"));
  context = await openContext(browser, looks[0], errors);
  context.setDefaultTimeout(PATIENCE_MS);
  page = await context.newPage();
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

afterEach(() => expect(errors.splice(0)).toEqual([]));

const go = (path: string) => page.goto(new URL(path, server.url).href);
const heading = (name: string | RegExp) => page.getByRole("heading", { level: 1, name });
const lines = (text: string) => page.getByText(text, { exact: false }).first().waitFor();

/** Tabs until the element has the focus; a person without a mouse gets there too, or this throws. */
async function tabTo(target: Locator): Promise<void> {
  for (let stops = 0; stops < 60; stops += 1) {
    await page.keyboard.press("Tab");
    if (await target.evaluate((element) => element === document.activeElement)) return;
  }
  throw new Error(`60 stops of the keyboard do not lead to ${target}`);
}

/** Chooses files by keyboard alone, sees that they are ready, and imports them; the page shows the job then. */
async function sendByKeyboard(paths: readonly string[]): Promise<void> {
  await tabTo(page.locator("main input[type=file]"));
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Space")]);
  await chooser.setFiles([...paths]);
  const send = page.getByRole("button", { name: `Import these ${paths.length} files` });
  await send.waitFor();
  await tabTo(send);
  await page.keyboard.press("Enter");
}

const ranking = z.object({
  detectors: z.array(
    z.object({
      detectorId: z.string(),
      findings: z.array(z.object({ kind: z.string(), sentence: z.string() })),
      visit: z.object({ task: z.string(), cost: z.number(), netBenefit: z.number() }),
    }),
  ),
});

/** What the command line says of the same store, detectors by rank. */
function ranked() {
  return ranking.parse(JSON.parse(run(["app/_cli/main.ts", "--db", server.store, "rank", "--format", "json"])))
    .detectors;
}

/** Cents as the screens write them for a reader of British English. */
function euros(minor: number): string {
  return new Intl.NumberFormat("en-GB", { style: "currency", currency: "EUR", maximumFractionDigits: 0 }).format(
    minor / 100,
  );
}

/** The first of the visits on the overview, whose money stands in it. */
const firstVisit = () =>
  page.getByRole("region", { name: "What to visit first" }).getByRole("listitem").filter({ hasText: "net" }).first();
const report = (kind: string) =>
  page
    .getByRole("list", { name: "Files" })
    .getByRole("listitem")
    .filter({ hasText: `${kind}.csv` });

async function cellsOf(table: Locator): Promise<string[][]> {
  const rows = await table.locator("tbody tr").all();
  return Promise.all(rows.map((row) => row.locator("th, td").allTextContents()));
}

describe("from five files to a decision", { timeout: 60_000 }, () => {
  it("an empty store says how to begin, and the keyboard alone leads to the report of the import", async () => {
    await go("/");
    await heading("Nothing is known yet of any beam").waitFor();
    await tabTo(page.getByRole("link", { name: "Import the five files" }));
    await page.keyboard.press("Enter");
    await heading("Imports").waitFor();
    await sendByKeyboard(files);

    await page.getByRole("progressbar").waitFor();
    await lines("The files are in, and everything is analysed anew.");
    for (const kind of kinds) {
      const { rows, accepted } = counts[kind];
      const count = (number: number) => number.toLocaleString("en-GB");
      await expect(report(kind).textContent()).resolves.toContain(`${count(rows)} rows, ${count(accepted)} accepted`);
    }
    expect(await cellsOf(page.getByRole("table", { name: "Refused rows of readings.csv" }))).toEqual([
      ["2", "signal_pct", "401", "is outside 0..400 %; check the value and its unit"],
    ]);
    expect(await cellsOf(page.getByRole("table", { name: "Refused rows of events.csv" }))).toEqual([
      ["2", "ended_at", "2025-02-01T08:00:00Z", "is before began_at; swap or mend the two times"],
    ]);
    await expect(report("readings").textContent()).resolves.toMatch(/1 row waits for detector HALL-9, first on line 3/);
  });

  it("the rows that did not go in come as CSV, with where and why before the cells as they were", async () => {
    const link = report("readings").getByRole("link", { name: "Download the rows that did not go in" });
    const [download] = await Promise.all([page.waitForEvent("download"), link.click()]);
    expect(download.suggestedFilename()).toBe("import-1-readings-not-in.csv");
    const rows: unknown = parse(readFileSync(await download.path(), "utf8"), { columns: true, bom: true });
    const cells = { read_at: "2025-01-01T12:00:00Z", rejected_file: "readings.csv" };
    expect(rows).toMatchObject([
      { ...cells, rejected_line: "2", rejected_value: "401", detector_id: "HALL-1", signal_pct: "401" },
      { ...cells, rejected_line: "3", rejected_value: "HALL-9", detector_id: "HALL-9", signal_pct: "98" },
    ]);
  });

  it("the overview says what the command line says, and leads to why the worst detector is the worst", async () => {
    const detectors = ranked();
    const [first] = detectors;
    const pay = detectors.filter(({ visit }) => visit.netBenefit > 0).length;
    expect([first?.detectorId, pay]).toEqual([worst, 1]);
    deliveredNet = first?.visit.netBenefit ?? 0;
    await page.getByRole("navigation", { name: "Screens" }).getByRole("link", { name: "Overview" }).click();
    await heading(`1 of ${detectors.length} detectors is worth a visit now`).waitFor();
    await expect(firstVisit().textContent()).resolves.toContain(`${euros(first?.visit.netBenefit ?? 0)} net`);

    await firstVisit().getByRole("link").first().click();
    await heading(worst).waitFor();
    expect(first?.findings.map(({ kind }) => kind)).toContain("signal_drift");
    for (const { kind, sentence } of first?.findings ?? []) {
      const finding = page.getByRole("article", { name: kind.replace("_", " ") });
      await finding.getByText(sentence).waitFor();
      expect(await finding.getByRole("img").count()).toBeGreaterThan(0);
    }
    const task = first?.visit.task ?? "no visit";
    const cost = page.getByRole("region", { name: `${task.charAt(0).toUpperCase()}${task.slice(1)}, visited alone` });
    await expect(cost.textContent()).resolves.toContain(euros(first?.visit.cost ?? 0));
    expect(await cost.getByRole("term").allTextContents()).toEqual(expect.arrayContaining(["Cost"]));
  });

  it("a filter of the detectors stands in the address, and a reload gives the same", async () => {
    await go("/detectors");
    const list = page.getByRole("list", { name: "Detectors" });
    expect(await list.locator("> li").count()).toBe(6);
    await page.getByLabel("Finding").selectOption("signal drift");
    await page.getByRole("button", { name: "Show" }).click();
    await page.waitForURL(/[?&]kind=signal_drift/);
    await lines("1 of 6 detectors fit");
    const before = await list.textContent();
    expect(before).toContain(worst);
    await page.reload();
    expect(await list.textContent()).toBe(before);
    expect(await page.getByLabel("Finding").inputValue()).toBe("signal_drift");
  });
});

describe("for those who come otherwise", { timeout: 60_000 }, () => {
  it("the first stop of the keyboard skips to the page, and each of the first 15 is seen to have the focus", async () => {
    await go("/");
    await page.keyboard.press("Tab");
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("Skip to the page");
    await page.keyboard.press("Enter");
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("content");

    await go("/");
    for (let stop = 1; stop <= 15; stop += 1) {
      await page.keyboard.press("Tab");
      expect(await page.evaluate(focusMark), `stop ${stop}`).toMatchObject({ outlined: true, inView: true });
    }
  });

  it("without scripts the overview, the filter of the detectors and a detector still serve", async () => {
    const plain = await browser.newContext({ javaScriptEnabled: false, locale: "en-GB" });
    try {
      const scriptless = await plain.newPage();
      await scriptless.goto(server.url);
      await scriptless.getByRole("heading", { level: 1, name: "1 of 6 detectors is worth a visit now" }).waitFor();
      await scriptless.goto(`${server.url}/detectors`);
      await scriptless.getByLabel("Name or id").fill(worst);
      await scriptless.getByRole("button", { name: "Show" }).click();
      await scriptless.getByText("1 of 6 detectors fit").waitFor();
      await scriptless.getByRole("link", { name: worst }).first().click();
      await scriptless.getByRole("heading", { level: 1, name: worst }).waitFor();
      await scriptless.getByRole("region", { name: "The visit proposed" }).waitFor();
    } finally {
      await plain.close();
    }
  });
});

describe("what may be changed and undone", { timeout: 60_000 }, () => {
  it("a bad setting is kept as typed with the reason at its field; a good one changes the money when analysed", async () => {
    await go("/settings");
    const field = page.getByLabel("One fault episode");
    await field.fill("a lot");
    await page.getByRole("button", { name: "Save as a new version" }).click();
    await lines("What you typed is kept");
    expect(await field.inputValue()).toBe("a lot");
    expect(await field.getAttribute("aria-invalid")).toBe("true");
    await expect(describedBy(field)).resolves.toContain("“a lot” is not a number");

    await field.fill("770");
    await page.getByRole("button", { name: "Save as a new version" }).click();
    await lines("Saved as version 1.");
    await page.getByRole("button", { name: "Analyse again" }).click();
    await lines("Everything is analysed anew.");
    const after = ranked()[0]?.visit.netBenefit ?? 0;
    expect(after).toBeGreaterThan(deliveredNet);
    await go("/");
    await expect(firstVisit().textContent()).resolves.toContain(`${euros(after)} net`);
  });

  it("the same files once more bring nothing new", async () => {
    await go("/imports");
    await sendByKeyboard(files.toReversed());
    await lines("Nothing new came in.");
    for (const kind of kinds) {
      await expect(report(kind).textContent()).resolves.toMatch(/ rows, 0 accepted, [\d,]+ there already/);
    }
  });

  it("an import is taken back whole: what another sent too stays, and without any the lists are empty", async () => {
    await takeBack(1);
    await lines("Everything is analysed anew.");
    await go("/detectors");
    await lines("6 detectors in service");

    await takeBack(2);
    await lines("Nothing was analysed: the store holds no records yet");
    await go("/");
    await heading("Nothing is known yet of any beam").waitFor();
    for (const path of ["/sites", "/detectors"]) {
      await go(path);
      await page.getByRole("link", { name: "Import the five files" }).waitFor();
    }
    await go("/imports");
    const past = await cellsOf(page.getByRole("table", { name: "Imports, latest first" }));
    expect(past.map((cells) => cells.at(-1))).toEqual(["taken back", "taken back"]);
  });
});

async function takeBack(importId: number): Promise<void> {
  await go(`/imports/${importId}`);
  await page.getByLabel(`Yes, take import ${importId} back whole`).check();
  await page.getByRole("button", { name: "Take it back" }).click();
  await lines("It was taken back on");
}

/** The text of all that describes a field to a screen reader. */
function describedBy(field: Locator): Promise<string> {
  return field.evaluate((element) =>
    (element.getAttribute("aria-describedby") ?? "")
      .split(" ")
      .map((id) => document.getElementById(id)?.textContent ?? "")
      .join(" "),
  );
}

/** Runs in the page: whether what has the focus is in the window and drawn with an outline. */
function focusMark() {
  const element = document.activeElement;
  if (!element || element === document.body) return { what: "nothing", outlined: false, inView: false };
  const { left, right, top, bottom } = element.getBoundingClientRect();
  const { outlineStyle, outlineWidth } = getComputedStyle(element);
  return {
    what: element.outerHTML.slice(0, 120),
    outlined: element.matches(":focus-visible") && outlineStyle !== "none" && Number.parseFloat(outlineWidth) >= 1,
    inView: right > 0 && left < window.innerWidth && bottom > 0 && top < window.innerHeight && right > left,
  };
}
