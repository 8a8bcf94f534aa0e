import { type AnyResult, reportFigures, reportPage } from "@bellmouth/report";
import { isFault } from "bellmouth";
import { readResult } from "bellmouth/stage";
import { describe, expect, it } from "vitest";
import {
  demoDecision,
  demoDrive,
  demoPlan,
  demoRefinement,
  demoRestriction,
  demoTrial,
} from "../support/results.js";

type Path = readonly (string | number)[];

/** Every place inside a value; of long lists the first and the last entry. */
function places(value: unknown, path: Path = []): Path[] {
  if (typeof value !== "object" || value === null) return [path];
  const keys = Array.isArray(value)
    ? [...new Set([0, value.length - 1])].filter((i) => i >= 0)
    : Object.keys(value);
  return [
    path,
    ...keys.flatMap((key) => places((value as Record<string | number, unknown>)[key], [...path, key])),
  ];
}

function changed(value: unknown, path: Path, to: unknown): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return to;
  if (Array.isArray(value)) return value.map((one, i) => (i === key ? changed(one, rest, to) : one));
  return Object.fromEntries(
    Object.entries(value as object).map(([name, one]) => [name, name === key ? changed(one, rest, to) : one]),
  );
}

const hostile = `"><script>document.title="taken"</script>`;
// undefined takes the key away when it becomes JSON.
const wrong = [undefined, null, -1, hostile, [], {}] as const;

describe.each([
  ["plan", demoPlan()],
  ["restriction", demoRestriction()],
  ["trial", demoTrial()],
  ["decision", demoDecision()],
  ["refinement", demoRefinement()],
  ["drive", await demoDrive()],
])("a stored %s that was tampered with", (_, result) => {
  it("is refused by name, or makes a page without a hole in it", { timeout: 300_000 }, () => {
    const text = JSON.stringify(result);
    const data: unknown = JSON.parse(text);
    // The refinement carries its covariance and logs, which no page reads.
    const paths = places(data).filter((path) => !path.includes("covariance") && !path.includes("logs"));
    expect(paths.length).toBeGreaterThan(60);
    let refused = 0;
    let shown = 0;
    paths.forEach((path, k) => {
      // Each place is spoilt in two ways, all ways in turn: a sixth of the time for nearly the same.
      for (const to of [wrong[k % wrong.length], wrong[(k + 3) % wrong.length]]) {
        let read: AnyResult;
        try {
          read = readResult(JSON.stringify(changed(data, path, to)) ?? "", "x.json");
        } catch (error) {
          if (!isFault(error)) throw new Error(`${path.join(".")} = ${String(to)}: ${String(error)}`);
          refused += 1;
          continue;
        }
        shown += 1;
        let page = "";
        try {
          page = reportPage([read]);
          reportFigures([read]);
        } catch (error) {
          throw new Error(`${path.join(".")} = ${String(to)}: ${String(error)}`);
        }
        expect(
          page.match(/[^<>]{0,60}(?:NaN|undefined|Infinity)[^<>]{0,40}/)?.[0],
          path.join("."),
        ).toBeUndefined();
        expect(page).not.toContain(hostile);
      }
    });
    expect(refused).toBeGreaterThan(20);
    expect(shown).toBeGreaterThan(10);
  });
});
