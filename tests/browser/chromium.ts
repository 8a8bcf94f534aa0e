import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type BrowserContext, chromium } from "playwright-core";

const places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

/** Path of an installed Chromium, or undefined. `BELLMOUTH_CHROMIUM` overrides. Nothing is downloaded. */
export const chromiumPath: string | undefined =
  process.env["BELLMOUTH_CHROMIUM"] ?? places.find((path) => existsSync(path));

/** The gate sets this: a missing browser is then a failure and not a reason to go on without. */
export const browserRequired: boolean = process.env["BELLMOUTH_BROWSER"] === "required";

/** Opens a fresh browser with an empty profile, no network chatter of its own; the callback's pages close with it. */
export async function withBrowser<T>(use: (context: BrowserContext) => Promise<T>): Promise<T> {
  if (chromiumPath === undefined) throw new Error("no Chromium found: install Debian's package `chromium`");
  const profile = mkdtempSync(join(tmpdir(), "bellmouth-browser-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: chromiumPath,
    headless: true,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
  try {
    return await use(context);
  } finally {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  }
}
