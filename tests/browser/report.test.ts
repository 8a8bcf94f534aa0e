import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { type AnyResult, reportPage } from "@bellmouth/report";
import type { PlanResult } from "bellmouth/stage";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  demoDecision,
  demoDrive,
  demoPlan,
  demoRefinement,
  demoRestriction,
  demoTrial,
} from "../support/results.js";
import { chromiumPath, withBrowser } from "./chromium.js";

const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

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
/** Every kind of page by name. */
let pages: { readonly [name: string]: readonly AnyResult[] };
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-report-"));
  plan = demoPlan();
  const [restriction, trial, decision] = [demoRestriction(), demoTrial(), demoDecision()];
  const [single, refinement] = [demoTrial("single-pair"), demoRefinement()];
  const drive = await demoDrive();
  pages = {
    plan: [plan],
    restriction: [restriction],
    trial: [trial],
    "single pair": [single],
    decision: [decision],
    refinement: [refinement],
    drive: [drive],
    "all together": [plan, restriction, trial, single, decision, refinement, drive],
  };
});
const NAMES = [
  "plan",
  "restriction",
  "trial",
  "single pair",
  "decision",
  "refinement",
  "drive",
  "all together",
] as const;
const markupOf = (name: string): string => reportPage(pages[name] ?? []);
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

/** Texts of pictures that leave their picture or cover each other. Runs in the page. */
const clashes = (): string[] =>
  [...document.querySelectorAll("figure svg[role=img]")].flatMap((svg) => {
    const frame = svg.getBoundingClientRect();
    const id = svg.closest("figure")?.id;
    const texts = [...svg.querySelectorAll("text")]
      .filter((text) => text.textContent !== "")
      .map((text) => ({ text: text.textContent, box: text.getBoundingClientRect() }));
    const outside = texts.filter(
      ({ box }) =>
        box.left < frame.left - 1 ||
        box.right > frame.right + 1 ||
        box.bottom > frame.bottom + 1 ||
        box.top < frame.top - 1,
    );
    // Line boxes of rows may touch; letters that cover each other are what cannot be read.
    const over = texts.flatMap((a, i) =>
      texts
        .slice(i + 1)
        .filter(
          ({ box: b }) =>
            Math.min(a.box.right, b.right) - Math.max(a.box.left, b.left) > 1 &&
            Math.min(a.box.bottom, b.bottom) - Math.max(a.box.top, b.top) >
              0.4 * Math.min(a.box.height, b.height),
        )
        .map((b) => `${a.text} / ${b.text}`),
    );
    return [...outside.map(({ text }) => `${id}: outside: ${text}`), ...over.map((pair) => `${id}: ${pair}`)];
  });

describe.skipIf(chromiumPath === undefined)("the report in a real browser", () => {
  it.each(NAMES)(
    "of %s is light, opens from disk, asks the network for nothing and is silent",
    async (name) => {
      const markup = markupOf(name);
      // Every picture twice: for a column and for a phone.
      expect(markup.length).toBeLessThan(700_000);
      const { trouble, requests } = await open(markup, async (page) => {
        expect(await page.locator("h1").count()).toBe(1);
        const figures = await page.locator("figure").count();
        expect(figures).toBeGreaterThanOrEqual(3);
        // Every picture is named and described, has words, and a table of its data.
        expect(await page.locator("figure .w svg[role=img] > title").count()).toBe(figures);
        expect(await page.locator("figure .n svg[role=img] > desc").count()).toBe(figures);
        expect(await page.locator("figure figcaption").count()).toBe(figures);
        expect(await page.locator("figure details table").count()).toBe(figures);
      });
      expect(trouble).toEqual([]);
      expect(requests).toHaveLength(1);
    },
  );

  it.each(NAMES)("of %s gives axe nothing to find, in light, in the dark and on a phone", async (name) => {
    await open(markupOf(name), async (page) => {
      await page.evaluate(() => {
        for (const details of document.querySelectorAll("details")) details.open = true;
      });
      const looks = [
        ["dark", 390],
        ["light", 1100],
        ["dark", 1100],
      ] as const;
      // What it is made of is looked at in every way on pages of its own.
      for (const [colorScheme, width] of name === "all together" ? looks.slice(0, 1) : looks) {
        await page.emulateMedia({ colorScheme });
        await page.setViewportSize({ width, height: 900 });
        const { violations, passes } = await audit(page);
        expect(violations.map(({ id, nodes }) => `${colorScheme} ${width} ${id}: ${nodes[0]?.html}`)).toEqual(
          [],
        );
        expect(passes.length).toBeGreaterThan(20);
        // No sideways scrolling of the page itself.
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
      }
    });
  });

  it.each(NAMES)("of %s keeps its texts apart and inside the pictures", async (name) => {
    await open(markupOf(name), async (page) => {
      for (const width of [1100, 390]) {
        await page.setViewportSize({ width, height: 900 });
        expect(await page.evaluate(clashes), `${width} px`).toEqual([]);
        // Pictures fit their frame: nothing of them is hidden until it is scrolled to.
        expect(
          await page.evaluate(() =>
            [...document.querySelectorAll("figure .w, figure .n")]
              .filter((frame) => frame.scrollWidth > frame.clientWidth + 1)
              .map((frame) => frame.closest("figure")?.id),
          ),
        ).toEqual([]);
      }
    });
  });

  it("can be read by keyboard: skip link, contents, data and copy buttons in order", async () => {
    await open(markupOf("trial"), async (page) => {
      const focused = (): Promise<string> =>
        page.evaluate(() => {
          const at = document.activeElement as HTMLElement | null;
          return `${at?.tagName.toLowerCase()} ${at?.closest("figure")?.id ?? ""} ${at?.textContent ?? ""}`.trim();
        });
      const visible = (): Promise<boolean> =>
        page.evaluate(() => {
          const at = document.activeElement as HTMLElement;
          const box = at.getBoundingClientRect();
          return getComputedStyle(at).outlineStyle !== "none" && box.width > 0 && box.right > 0;
        });
      await page.keyboard.press("Tab");
      expect(await focused()).toContain("Skip to the result");
      expect(await visible()).toBe(true);
      const seen: string[] = [];
      for (let i = 0; i < 40; i++) {
        await page.keyboard.press("Tab");
        seen.push(await focused());
        expect(await visible(), seen.at(-1)).toBe(true);
        // Opening the first table brings its buttons into the order.
        if (seen.at(-1)?.startsWith("summary trial-pressure-effect") === true)
          await page.keyboard.press("Enter");
        if (seen.at(-1)?.startsWith("summary trial-pressure-levels") === true) break;
      }
      const at = (start: string): number => seen.findIndex((one) => one.startsWith(start));
      // The contents follow the first screen.
      expect(at("a ")).toBeGreaterThan(at("summary trial-pressure-effect"));
      expect(at("button trial-pressure-effect")).toBeGreaterThan(at("summary trial-pressure-effect"));
      expect(at("summary trial-pressure-levels")).toBeGreaterThan(at("button trial-pressure-effect"));
      const copy = seen.filter((one) => one.startsWith("button trial-pressure-effect"));
      expect(copy.length).toBeGreaterThanOrEqual(4);
      await page.locator("#trial-pressure-effect button").nth(1).focus();
      await page.keyboard.press("Enter");
      await expect.poll(() => page.locator("#status").textContent()).toMatch(/^Copied 6 rows/);
    });
  });

  it("prints every table of usual size, without buttons, on white", async () => {
    await open(markupOf("trial"), async (page) => {
      expect(await page.locator("details[open]").count()).toBe(0);
      await page.emulateMedia({ media: "print", colorScheme: "light" });
      const pdf = await page.pdf({ format: "A4" });
      expect(pdf.subarray(0, 5).toString("latin1")).toBe("%PDF-");
      // Printing opened them.
      expect(await page.locator("details[open]").count()).toBe(await page.locator("details").count());
      expect(await page.locator("figure table").first().isVisible()).toBe(true);
      expect(await page.locator("button:visible").count()).toBe(0);
      const ground = await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
      expect(ground).toBe("rgb(255, 255, 255)");
      // Nothing is cut off at the side of the sheet: A4 less its margins is 720 px wide.
      await page.setViewportSize({ width: 720, height: 1000 });
      const wide = await page.evaluate(() =>
        [...document.querySelectorAll("figure table")]
          .filter((table) => table.getBoundingClientRect().right > innerWidth + 1)
          .map((table) => table.closest("figure")?.id),
      );
      expect(wide).toEqual([]);
    });
  });

  it("copies a column, and a table, ready to paste", async () => {
    await open(reportPage([plan]), async (page) => {
      const figure = page.locator("figure#plan-flow");
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
      const figure = page.locator("figure#plan-flow");
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
