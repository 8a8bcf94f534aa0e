import { existsSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { describe, expect, it } from "vitest";
import { browserRequired, chromiumPath, withBrowser } from "./chromium.js";

const page_ = new URL("../../examples/browser/index.html", import.meta.url);
const built = existsSync(new URL("built/page.js", page_));

describe("the browser example", () => {
  it("is built when the gate runs", () => {
    expect(browserRequired && !built).toBe(false);
  });

  it.skipIf(chromiumPath === undefined || !built)(
    "follows the bore, a frame at a time, without a complaint",
    async () => {
      const trouble: string[] = [];
      await withBrowser(async (context) => {
        const page = await context.newPage();
        page.on("console", (message) => trouble.push(message.text()));
        page.on("pageerror", (error) => trouble.push(error.message));
        await page.goto(pathToFileURL(page_.pathname).href);
        const sentence = async (): Promise<string> => (await page.locator("#sentence").textContent()) ?? "";
        const share = async (): Promise<number> =>
          Number(/([\d.]+) % of the usable/.exec(await sentence())?.[1]);
        const move = (bore: number): Promise<void> =>
          page.locator("#bore").evaluate((input, value) => {
            (input as HTMLInputElement).value = String(value);
            input.dispatchEvent(new Event("input", { bubbles: true }));
          }, bore);
        const settle = (): Promise<void> =>
          page.evaluate(
            () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done()))),
          );
        await move(74);
        await settle();
        const small = await share();
        await move(90);
        await settle();
        const large = await share();
        // More area, lower signal for the same air.
        expect(large).toBeLessThan(small);
        expect(await page.locator("#curve svg path.line").count()).toBe(2);
        // A table that is no table says so and keeps the page alive.
        await page.locator("#file").setInputFiles({
          name: "bad.csv",
          mimeType: "text/csv",
          buffer: Buffer.from("signal [Hz],airflow [psi]\n1,2\n3,4\n"),
        });
        await expect.poll(() => page.locator("#word").textContent()).toBe("This table cannot be read");
        await move(80);
        await settle();
        expect(await page.locator("#word").textContent()).not.toBe("This table cannot be read");
      });
      expect(trouble).toEqual([]);
    },
  );
});
