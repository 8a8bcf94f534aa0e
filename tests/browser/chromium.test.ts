import { describe, expect, it } from "vitest";
import { browserRequired, chromiumPath, withBrowser } from "./chromium.js";

if (chromiumPath === undefined && !browserRequired) {
  console.warn(
    "no Chromium on this machine: the browser tests are left out (Debian: apt-get install chromium)",
  );
}

describe("the browser", () => {
  it("is there when the gate requires it", () => {
    expect(browserRequired && chromiumPath === undefined).toBe(false);
  });
  it.skipIf(chromiumPath === undefined)("opens a page and runs a script in it", async () => {
    const sum = await withBrowser(async (context) => {
      const page = await context.newPage();
      await page.setContent("<p>air</p>");
      return page.evaluate(() => document.querySelectorAll("p").length + 1);
    });
    expect(sum).toBe(2);
  });
});
