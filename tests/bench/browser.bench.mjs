// The example in the browser: the bore moved at every frame for some seconds. Run: npm run build, then: node tests/bench/browser.bench.mjs
// Software drawing (no graphics card is asked for), so a desktop does better.
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { cpus, tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const FRAMES = 300;
const path =
  process.env.BELLMOUTH_CHROMIUM ?? ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find(existsSync);
if (path === undefined) {
  console.log("no Chromium: install Debian's package chromium");
  process.exit(0);
}
const profile = mkdtempSync(join(tmpdir(), "bellmouth-bench-"));
const context = await chromium.launchPersistentContext(profile, {
  executablePath: path,
  headless: true,
  args: [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
  ],
});
try {
  const page = await context.newPage();
  await page.goto(pathToFileURL(new URL("../../examples/browser/index.html", import.meta.url).pathname).href);
  const frames = await page.locator("#bore").evaluate(
    (input, count) =>
      new Promise((done) => {
        const least = Number(input.min);
        const most = Number(input.max);
        const stamps = [];
        const step = (stamp) => {
          stamps.push(stamp);
          if (stamps.length > count) {
            const draws = performance.getEntriesByName("draw").map(({ duration }) => duration);
            done({ gaps: stamps.slice(1).map((at, i) => at - stamps[i]), draws: draws.slice(-count) });
            return;
          }
          const share = 0.5 + 0.5 * Math.sin(stamps.length / 20);
          input.value = String(least + share * (most - least));
          input.dispatchEvent(new Event("input", { bubbles: true }));
          requestAnimationFrame(step);
        };
        requestAnimationFrame(step);
      }),
    FRAMES,
  );
  const sorted = (values) => [...values].sort((a, b) => a - b);
  const at = (values, share) => sorted(values)[Math.floor(share * (values.length - 1))];
  const late = frames.gaps.filter((gap) => gap > 25).length;
  const mean = frames.gaps.reduce((sum, gap) => sum + gap, 0) / frames.gaps.length;
  console.log(
    `${cpus()[0]?.model.trim()}, ${cpus().length} cores; Chromium ${context.browser()?.version() ?? ""}`,
  );
  console.log(
    `${frames.draws.length} drawings: median ${at(frames.draws, 0.5).toFixed(1)} ms, 95th of a hundred ${at(frames.draws, 0.95).toFixed(1)} ms`,
  );
  console.log(
    `${frames.gaps.length} frames: ${(1000 / mean).toFixed(1)} a second, ${late} of them late by half a frame or more\n`,
  );
  console.log(
    `${1000 / mean >= 59 ? "met   " : "MISSED"}: frames a second while the bore moves ${(1000 / mean).toFixed(1)} (wanted >= 60, less a frame in a hundred)`,
  );
} finally {
  await context.close();
  rmSync(profile, { recursive: true, force: true });
}
