import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { axeFindings, type Look, looks, openBrowser, openContext, sidewaysOverflow } from "./browser";
import { type RunningServer, startServer } from "./server";

let browser: Browser;
let full: RunningServer;
let empty: RunningServer;
const pages = new Map<string, { page: Page; errors: string[] }>();
const followed = new Map<string, string>();
const [desk, deskDark, phone] = looks;

beforeAll(async () => {
  browser = await openBrowser();
  [full, empty] = await Promise.all([startServer({ portfolio: "small" }), startServer({ portfolio: "empty" })]);
});

afterAll(async () => {
  await browser?.close();
  await Promise.all([full?.stop(), empty?.stop()]);
});

/** Every page of a store that is full; the two with an id are reached by the first link of their list. */
const fullPages = [
  { title: "the overview", path: "/" },
  { title: "the sites", path: "/sites" },
  { title: "one site", path: "/sites", follow: 'main a[href^="/sites/"]' },
  { title: "the detectors", path: "/detectors" },
  { title: "the detectors, filtered", path: "/detectors?kind=signal_drift" },
  { title: "one detector", path: "/detectors", follow: 'main a[href^="/detectors/"]:not([download])' },
  { title: "the proof", path: "/proof" },
  { title: "the proof, without visited detectors", path: "/proof?visited=left_out" },
  { title: "the imports", path: "/imports" },
  { title: "one import", path: "/imports", follow: 'main table a[href^="/imports/"]' },
  { title: "the saved mappings", path: "/imports/mappings" },
  { title: "the settings", path: "/settings" },
];

/** Every page of an empty store, with what its reader is told to do. */
const emptyPages = [
  { path: "/", says: /import/i },
  { path: "/sites", says: /import/i },
  { path: "/detectors", says: /import/i },
  { path: "/proof", says: /import/i },
  { path: "/imports", says: /drop your files/i },
  { path: "/imports/mappings", says: /drop a table/i },
  { path: "/settings", says: /as delivered/i },
];

describe.each([desk, phone])("at the width of $name", (look) => {
  it.each(fullPages)("$title stands, fits its window and leaves axe nothing to say, light and dark", async (one) => {
    await inPage(look, async (page) => {
      const answer = await page.goto(await addressOf(page, one), { waitUntil: "networkidle" });
      expect(answer?.status()).toBe(200);
      expect(await page.locator("h1").count()).toBe(1);
      expect(await page.title()).toMatch(/Rafterline/);
      expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
      expect(await axeFindings(page)).toEqual([]);
      // Between the schemes only colours differ, so only what depends on them is asked again.
      await page.emulateMedia({ colorScheme: "dark" });
      expect(await axeFindings(page, { rules: ["color-contrast"] })).toEqual([]);
    });
  });
});

describe.each([deskDark, phone])("over an empty store, on $name", (look) => {
  it.each(emptyPages)("$path says how to begin, fits and leaves axe nothing to say", async ({ path, says }) => {
    await inPage(look, async (page) => {
      const answer = await page.goto(new URL(path, empty.url).href, { waitUntil: "networkidle" });
      expect(answer?.status()).toBe(200);
      expect(await page.locator("main").textContent()).toMatch(says);
      expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
      expect(await axeFindings(page)).toEqual([]);
    });
  });
});

/** Does something in the page of a look, kept since a warm one loads faster; it must end without an error of the page. */
async function inPage(look: Look, act: (page: Page) => Promise<void>): Promise<void> {
  let kept = pages.get(look.name);
  if (!kept) {
    const errors: string[] = [];
    kept = { page: await (await openContext(browser, look, errors)).newPage(), errors };
    pages.set(look.name, kept);
  }
  kept.errors.length = 0;
  await kept.page.emulateMedia({ colorScheme: look.colorScheme });
  await act(kept.page);
  expect(kept.errors).toEqual([]);
}

/** The address of a page; of one that is followed to, found once. */
async function addressOf(page: Page, { path, follow }: { path: string; follow?: string }): Promise<string> {
  const list = new URL(path, full.url).href;
  if (follow === undefined) return list;
  const known = followed.get(follow);
  if (known !== undefined) return known;
  await page.goto(list);
  const target = await page.locator(follow).first().getAttribute("href");
  const address = new URL(target ?? "/nothing-to-follow", full.url).href;
  followed.set(follow, address);
  return address;
}

describe("what is not there", () => {
  it.each(["/detectors/none-such", "/sites/none-such", "/imports/999999", "/imports/x", "/no-page"])(
    "%s answers 404 with a page that says so",
    async (path) => {
      // The browser itself reports the 404 as an error, so only what the page says is looked at.
      const page = pages.get(desk.name)?.page ?? (await (await openContext(browser, desk, [])).newPage());
      const answer = await page.goto(new URL(path, full.url).href);
      expect(answer?.status()).toBe(404);
      await page.locator("h1").waitFor();
      expect(await page.locator("h1").count()).toBe(1);
      expect(await axeFindings(page)).toEqual([]);
    },
  );
});
