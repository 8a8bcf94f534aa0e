import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { accountPage } from "@bellmouth/report";
import { type Account, accountOf, headroomAccount, planAccount, sweepAccount } from "bellmouth/account";
import type { PlanResult } from "bellmouth/stage";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { demoDecision, demoPlan, demoRefinement, demoRestriction, demoTrial } from "../support/results.js";
import { chromiumPath, withBrowser } from "./chromium.js";

let folder: string;
let plan: PlanResult;
let accounts: { readonly [name: string]: Account };
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-screens-"));
  plan = demoPlan();
  accounts = {
    plan: planAccount(plan),
    headroom: headroomAccount(plan),
    sweep: sweepAccount(plan) as Account,
    refine: accountOf(demoRefinement()),
    trial: accountOf(demoTrial()),
    restriction: accountOf(demoRestriction()),
    decision: accountOf(demoDecision()),
  };
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Opens accounts as pages, one after the other, at a width. */
async function each(width: number, use: (page: Page, name: string) => Promise<void>): Promise<void> {
  await withBrowser(async (context) => {
    const page = await context.newPage();
    await page.setViewportSize({ width, height: 900 });
    for (const [name, account] of Object.entries(accounts)) {
      const file = join(folder, `${name}.html`);
      writeFileSync(file, accountPage([account], { date: "2026-01-31" }));
      await page.goto(pathToFileURL(file).href);
      await use(page, name);
    }
  });
}

/** Texts that are seen smaller than a size, in CSS pixels as drawn. Runs in the page. */
const smallerThan = (least: number): string[] =>
  [...document.querySelectorAll("body *")].flatMap((element) => {
    const own = [...element.childNodes].some(
      (node) => node.nodeType === 3 && node.textContent?.trim() !== "",
    );
    if (!own || element.closest("script,style,title,desc,.unseen,.sheet,.skip") !== null) return [];
    const box = element.getBoundingClientRect();
    if (box.width === 0) return [];
    const svg = element.closest("svg");
    const scale = svg === null ? 1 : svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    const size = Number.parseFloat(getComputedStyle(element).fontSize) * scale;
    return size < least ? [`${size.toFixed(1)} px: ${element.textContent?.slice(0, 40)}`] : [];
  });

/** Paragraphs whose lines hold more letters than a reader follows. Runs in the page. */
const tooLong = (most: number): string[] =>
  [...document.querySelectorAll("main p, main li, figcaption")].flatMap((element) => {
    const text = element.textContent ?? "";
    const height = Number.parseFloat(getComputedStyle(element).lineHeight);
    const lines = Math.round(element.getBoundingClientRect().height / height);
    return lines > 1 && text.length / lines > most
      ? [`${Math.round(text.length / lines)}: ${text.slice(0, 60)}`]
      : [];
  });

describe.skipIf(chromiumPath === undefined)("screens in a real browser", () => {
  it.each([1280, 390])(
    "V15: at %i px no text is smaller than 11 px, no line too long, nothing runs over",
    async (width) => {
      await each(width, async (page, name) => {
        expect(await page.evaluate(smallerThan, 10.9), name).toEqual([]);
        expect(await page.evaluate(tooLong, 105), name).toEqual([]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), name).toBe(
          true,
        );
      });
    },
  );

  it("V15: at 1280 px the table to type in, or the first picture, begins on the first screen", async () => {
    await each(1280, async (page, name) => {
      const top = await page.evaluate(
        () => document.querySelector("table.account, figure svg")?.getBoundingClientRect().top ?? 1e9,
      );
      expect(top, name).toBeLessThan(700);
    });
  });

  it("U2: the copied block pastes into a spreadsheet's cells: signal and value, a row each, plain numbers", async () => {
    await withBrowser(async (context) => {
      await context.grantPermissions(["clipboard-read", "clipboard-write"]);
      const page = await context.newPage();
      const file = join(folder, "copy.html");
      writeFileSync(file, accountPage([planAccount(plan)]));
      await page.goto(pathToFileURL(file).href);
      await page.locator("button[data-block]").first().click();
      const lines = (await page.evaluate(() => navigator.clipboard.readText())).split("\n");
      expect(lines).toHaveLength(plan.airflow.cells.length);
      plan.airflow.cells.forEach(({ signal, flow }, i) => {
        const [first, second, ...rest] = (lines[i] ?? "").split("\t");
        expect(rest).toEqual([]);
        expect(Number(first)).toBeCloseTo(signal, 6);
        expect(Number(second)).toBeCloseTo(1000 * flow, 6);
      });
    });
  });

  it("prints the sheet for the car: 64 cells on one page of A4 and of Letter, 256 on two, 8 pt or more", async () => {
    const [cell] = plan.airflow.cells;
    if (cell === undefined) throw new Error("no cells");
    const long = (count: number): PlanResult => ({
      ...plan,
      temperature: null,
      airflow: {
        ...plan.airflow,
        cells: Array.from({ length: count }, (_, i) => ({
          ...cell,
          signal: 1000 + 40 * i,
          flow: 1e-3 * (i + 1),
          wanted: 1e-3 * (i + 1),
        })),
      },
      headroom: {
        ...plan.headroom,
        cells: Array.from({ length: count }, () => ({ state: "clear" as const, reachedBy: [] })),
      },
    });
    await withBrowser(async (context) => {
      const page = await context.newPage();
      for (const [count, pages] of [
        [64, 1],
        [256, 2],
      ] as const) {
        const file = join(folder, "print.html");
        writeFileSync(file, accountPage([planAccount(long(count))], { date: "2026-01-31" }));
        await page.goto(pathToFileURL(file).href);
        for (const format of ["A4", "Letter"] as const) {
          const pdf = (await page.pdf({ format })).toString("latin1");
          expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)?.length, `${count} cells on ${format}`).toBe(pages);
        }
        await page.emulateMedia({ media: "print" });
        const least = await page.evaluate(() =>
          [...document.querySelectorAll(".sheet *")].reduce(
            (size, element) => Math.min(size, Number.parseFloat(getComputedStyle(element).fontSize)),
            99,
          ),
        );
        // 8 pt are 10.67 px.
        expect(least).toBeGreaterThan(10.6);
        await page.emulateMedia({ media: null });
      }
    });
  });
});
