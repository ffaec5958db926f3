import { existsSync, mkdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { AxeBuilder } from "@axe-core/playwright";
import { type Browser, type BrowserContext, chromium, type Page } from "playwright-core";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const systemBrowsers = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
const quiet = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** A browser: CHROME_PATH, one of the machine's, or the one that comes with the npm packages. */
export async function openBrowser(): Promise<Browser> {
  const own = [process.env.CHROME_PATH ?? "", ...systemBrowsers].find((path) => path !== "" && existsSync(path));
  if (own !== undefined) return chromium.launch({ executablePath: own, args: quiet });
  // The packed browser unpacks into the temporary folder and would reuse whatever lies there under its name.
  process.env.TMPDIR = join(root, ".cache", "browser");
  mkdirSync(process.env.TMPDIR, { recursive: true });
  const { default: packed } = await import("@sparticuz/chromium");
  return chromium.launch({ executablePath: await packed.executablePath(), args: [...packed.args, ...quiet] });
}

/** The two widths and two schemes each screen is looked at in. */
export const looks = [
  { name: "desk, light", width: 1280, height: 900, colorScheme: "light" },
  { name: "desk, dark", width: 1280, height: 900, colorScheme: "dark" },
  { name: "phone, light", width: 390, height: 844, colorScheme: "light" },
  { name: "phone, dark", width: 390, height: 844, colorScheme: "dark" },
] as const;

/** One of {@link looks}. */
export type Look = (typeof looks)[number];

/** A fresh browser context in a look, collecting the errors of its pages. */
export async function openContext(browser: Browser, look: Look, errors: string[]): Promise<BrowserContext> {
  const context = await browser.newContext({
    viewport: { width: look.width, height: look.height },
    colorScheme: look.colorScheme,
    locale: "en-GB",
  });
  context.on("page", (page) => {
    page.on("pageerror", (error) => errors.push(error.message));
    page.on("console", (message) => {
      if (message.type() === "error") errors.push(message.text());
    });
  });
  return context;
}

/** What axe holds against a page, by all its rules or those given; one line for each rule and place. */
export async function axeFindings(page: Page, { rules = [] }: { rules?: readonly string[] } = {}): Promise<string[]> {
  // Our pages have no frames, so axe need not open a page of its own to gather them: it is three times as fast.
  const axe = new AxeBuilder({ page }).setLegacyMode(true).options({ resultTypes: ["violations"] });
  const { violations } = await (rules.length > 0 ? axe.withRules([...rules]) : axe).analyze();
  return violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.target.join(" ")}`));
}

/** How far the page is wider than its window, in pixels; a page that scrolls sideways on a phone is broken. */
export async function sidewaysOverflow(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}
