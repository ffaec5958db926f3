import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { axeFindings, looks, openBrowser, openContext, sidewaysOverflow } from "./browser";
import { type RunningServer, startServer } from "./server";

let browser: Browser;
let full: RunningServer;
let empty: RunningServer;

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
  { title: "the imports", path: "/imports" },
  { title: "one import", path: "/imports", follow: 'main a[href^="/imports/"]' },
  { title: "the settings", path: "/settings" },
];

/** Every page of an empty store, with what its reader is told to do. */
const emptyPages = [
  { path: "/", says: /import/i },
  { path: "/sites", says: /import/i },
  { path: "/detectors", says: /import/i },
  { path: "/imports", says: /drop your files/i },
  { path: "/settings", says: /as delivered/i },
];

describe.each(looks)("on $name", (look) => {
  it.each(fullPages)("$title stands, fits its window and leaves axe nothing to say", async ({ path, follow }) => {
    const errors: string[] = [];
    const context = await openContext(browser, look, errors);
    try {
      const page = await context.newPage();
      let address = new URL(path, full.url).href;
      if (follow) {
        await page.goto(address);
        const target = await page.locator(follow).first().getAttribute("href");
        address = new URL(target ?? "/nothing-to-follow", full.url).href;
      }
      const answer = await page.goto(address, { waitUntil: "networkidle" });
      expect(answer?.status()).toBe(200);
      expect(await page.locator("h1").count()).toBe(1);
      expect(await page.title()).toMatch(/Rafterline/);
      expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
      expect(await axeFindings(page)).toEqual([]);
      expect(errors).toEqual([]);
    } finally {
      await context.close();
    }
  });

  it.each(emptyPages)("$path of an empty store says how to begin", async ({ path, says }) => {
    const errors: string[] = [];
    const context = await openContext(browser, look, errors);
    try {
      const page = await context.newPage();
      const answer = await page.goto(new URL(path, empty.url).href, { waitUntil: "networkidle" });
      expect(answer?.status()).toBe(200);
      expect(await page.locator("main").textContent()).toMatch(says);
      expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
      expect(await axeFindings(page)).toEqual([]);
      expect(errors).toEqual([]);
    } finally {
      await context.close();
    }
  });
});

describe("what is not there", () => {
  it.each(["/detectors/none-such", "/sites/none-such", "/imports/999999", "/imports/x", "/no-page"])(
    "%s answers 404 with a page that says so",
    async (path) => {
      const context = await openContext(browser, looks[0], []);
      try {
        const page = await context.newPage();
        const answer = await page.goto(new URL(path, full.url).href);
        expect(answer?.status()).toBe(404);
        expect(await page.locator("h1").count()).toBe(1);
        expect(await axeFindings(page)).toEqual([]);
      } finally {
        await context.close();
      }
    },
  );
});
