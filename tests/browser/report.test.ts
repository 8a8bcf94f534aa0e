import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { reportPage } from "@bellmouth/report";
import { type PlanResult, planSwap, requireDocument, swapDocument } from "bellmouth/job";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { chromiumPath, withBrowser } from "./chromium.js";

const demo = new URL("../../examples/demo/", import.meta.url);
const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

function demoPlan(): PlanResult {
  const open = (name: string): string => readFileSync(new URL(name, demo), "utf8");
  return planSwap(requireDocument([swapDocument], open("swap.yaml"), { file: "swap.yaml", open }).document);
}

interface AxeResult {
  readonly violations: readonly {
    readonly id: string;
    readonly nodes: readonly { readonly html: string }[];
  }[];
  readonly passes: readonly unknown[];
}

/** What the axe rules find on a page. The page's policy forbids foreign scripts, so axe is run in a world of its own. */
async function audit(page: Page): Promise<AxeResult> {
  await page.evaluate(readFileSync(axe, "utf8"));
  return page.evaluate(
    () => (globalThis as unknown as { axe: { run: () => Promise<unknown> } }).axe.run() as Promise<AxeResult>,
  );
}

let folder = "";
let plan: PlanResult;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-report-"));
  plan = demoPlan();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Opens a page from disk; collects console messages, errors, requests that leave the file, and policy violations. */
async function open(
  markup: string,
  use: (page: Page) => Promise<void>,
  options: { readonly scheme?: "light" | "dark"; readonly width?: number } = {},
): Promise<{ readonly trouble: readonly string[]; readonly requests: readonly string[] }> {
  const file = join(folder, "page.html");
  writeFileSync(file, markup);
  const trouble: string[] = [];
  const requests: string[] = [];
  await withBrowser(async (context) => {
    await context.grantPermissions(["clipboard-read", "clipboard-write"]);
    const page = await context.newPage();
    page.on("console", (message) => trouble.push(`console ${message.type()}: ${message.text()}`));
    page.on("pageerror", (error) => trouble.push(`error: ${error.message}`));
    page.on("request", (request) => requests.push(request.url()));
    await page.addInitScript(() => {
      addEventListener("securitypolicyviolation", (event) =>
        console.error(`policy: ${event.violatedDirective}`),
      );
    });
    await page.emulateMedia({ colorScheme: options.scheme ?? "light" });
    await page.setViewportSize({ width: options.width ?? 1100, height: 900 });
    await page.goto(pathToFileURL(file).href);
    await use(page);
  });
  return { trouble, requests };
}

describe.skipIf(chromiumPath === undefined)("the report in a real browser", () => {
  it("is light, opens from disk, asks the network for nothing and says nothing on the console", async () => {
    const markup = reportPage([plan]);
    expect(markup.length).toBeLessThan(400_000);
    const { trouble, requests } = await open(markup, async (page) => {
      expect(await page.title()).toBe(plan.title);
      expect(await page.locator("figure svg[role=img]").count()).toBeGreaterThanOrEqual(8);
      // Every picture has words and a table of its data.
      const figures = await page.locator("figure").count();
      expect(await page.locator("figure figcaption").count()).toBe(figures);
      expect(await page.locator("figure details table").count()).toBe(figures);
    });
    expect(trouble).toEqual([]);
    expect(requests).toHaveLength(1);
  });

  it.each([
    ["light", 1100],
    ["dark", 1100],
    ["dark", 390],
  ] as const)("gives axe nothing to find, %s at %i px", async (scheme, width) => {
    await open(
      reportPage([plan]),
      async (page) => {
        await page.evaluate(() => {
          for (const details of document.querySelectorAll("details")) details.open = true;
        });
        const { violations, passes } = await audit(page);
        expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);
        expect(passes.length).toBeGreaterThan(20);
        // No sideways scrolling of the page itself.
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
      },
      { scheme, width },
    );
  });

  it("copies a column, and a table, ready to paste", async () => {
    await open(reportPage([plan]), async (page) => {
      const figure = page.locator("figure#plan-curve");
      await figure.locator("summary").press("Enter");
      await figure.locator("button[data-copy='1']").click();
      const column = await page.evaluate(() => navigator.clipboard.readText());
      const flows = column.split("\n").map(Number);
      expect(flows).toHaveLength(plan.airflow.cells.length);
      plan.airflow.cells.forEach((cell, i) => {
        expect(flows[i]).toBeCloseTo(1000 * cell.flow, 3);
      });
      await figure.locator("button[data-copy='all']").click();
      const whole = (await page.evaluate(() => navigator.clipboard.readText())).split("\n");
      expect(whole).toHaveLength(plan.airflow.cells.length + 1);
      expect(new Set(whole.map((line) => line.split("\t").length)).size).toBe(1);
    });
  });

  it("stays usable with a table of 10,000 cells", async () => {
    const [cell] = plan.airflow.cells;
    if (cell === undefined) throw new Error("no cells");
    const cells = Array.from({ length: 10_000 }, (_, i) => ({
      ...cell,
      signal: 1000 + i,
      flow: 1e-4 * (i + 1),
      wanted: 1e-4 * (i + 1),
    }));
    const wanted = cells.map(({ signal, flow }) => ({ signal, flow, u: 0.03 }));
    const large: PlanResult = { ...plan, airflow: { ...plan.airflow, cells, wanted } };
    const { trouble } = await open(reportPage([large]), async (page) => {
      const figure = page.locator("figure#plan-curve");
      const started = Date.now();
      await figure.locator("summary").click();
      await figure.locator("tbody tr").nth(9_999).scrollIntoViewIfNeeded();
      await figure.locator("button[data-copy='0']").click();
      const copied = await page.evaluate(() => navigator.clipboard.readText());
      expect(copied.split("\n")).toHaveLength(10_000);
      expect(Date.now() - started).toBeLessThan(30_000);
    });
    expect(trouble).toEqual([]);
  });

  it("shows hostile text as text", async () => {
    const hostile = `</script><script>document.title="taken"</script><img src=x onerror="document.title='taken'">`;
    const { trouble } = await open(
      reportPage([{ ...plan, title: hostile, verdict: { ...plan.verdict, sentence: hostile } }]),
      async (page) => {
        expect(await page.title()).toBe(hostile);
        expect(await page.locator("h1").textContent()).toBe(hostile);
        expect(await page.locator("img").count()).toBe(0);
      },
    );
    expect(trouble).toEqual([]);
  });
});
