import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { developmentCars, scenario, seededRandom, simulateDrive } from "@bellmouth/simulator";
import { type Drive, refine } from "bellmouth/drive";
import { describe, expect, it } from "vitest";

/**
 * What three simulated drives gave when it was last looked at: no check of truth, but nobody changes the estimator unseen. After a change that
 * the scoring (tests/bench/refine) approves of, record again: BELLMOUTH_RECORD=refine npx vitest run tests/property/refine-recorded
 */
const recorded = new URL("../data/recorded/refine.json", import.meta.url);

const [alder, birch] = developmentCars;
const drives = {
  "closed loop, lambda and trims": { car: alder, feedback: true, keep: null },
  "trims off, no manifold pressure": {
    car: birch,
    feedback: false,
    keep: ["signal", "lambda", "lambdaTarget", "shortTrim", "longTrim", "engineSpeed", "coolant"],
  },
  "trims alone": {
    car: alder,
    feedback: true,
    keep: ["signal", "shortTrim", "longTrim", "engineSpeed", "coolant"],
  },
} as const;

const round = (value: number): number => Number(value.toPrecision(7));

function outcome(name: keyof typeof drives): unknown {
  const { car, feedback, keep } = drives[name];
  const { drive } = scenario(car!, "8-minute drive", feedback, seededRandom(71));
  const { time, ...rest } = simulateDrive({ ...drive, startCoolant: 350 }, seededRandom(72)).columns;
  const channels: Drive["channels"] = Object.fromEntries(
    Object.entries(rest)
      .filter(([channel]) => keep === null || (keep as readonly string[]).includes(channel))
      .map(([channel, value]) => [channel, { time, value }]),
  );
  const result = refine(drive.table, [{ name, channels }]);
  const [summary] = result.drives;
  return JSON.parse(
    JSON.stringify(
      {
        cells: result.cells.map(({ after, u, seen, seconds }) => [after, u, seen, seconds]),
        common: result.common,
        scales: result.priorScales,
        causes: result.causes,
        findings: result.findings.map(({ code, level }) => `${level}: ${code}`),
        next: result.next,
        drive: summary,
      },
      (_, value: unknown) => (typeof value === "number" ? round(value) : value),
    ),
  );
}

/** Numbers that differ by more than their last recorded digits are told with their place. */
function differences(now: unknown, then: unknown, path = ""): string[] {
  if (typeof now === "number" && typeof then === "number") {
    const near = Math.abs(now - then) <= 1e-5 * Math.abs(then) + 1e-9;
    return near ? [] : [`${path}: ${now}, was ${then}`];
  }
  if (typeof now !== "object" || typeof then !== "object" || now === null || then === null)
    return now === then ? [] : [`${path}: ${String(now)}, was ${String(then)}`];
  const keys = new Set([...Object.keys(now), ...Object.keys(then)]);
  const at = (value: object, key: string): unknown => (value as { readonly [key: string]: unknown })[key];
  return [...keys].flatMap((key) => differences(at(now, key), at(then, key), `${path}.${key}`));
}

describe("the estimator", () => {
  const names = Object.keys(drives) as (keyof typeof drives)[];
  if (process.env["BELLMOUTH_RECORD"] === "refine") {
    mkdirSync(new URL("./", recorded), { recursive: true });
    writeFileSync(
      recorded,
      `${JSON.stringify(Object.fromEntries(names.map((name) => [name, outcome(name)])))}\n`,
    );
  }
  it("has something recorded", () => {
    expect(existsSync(recorded)).toBe(true);
  });
  it.each(names)("gives what it gave: %s", (name) => {
    const then = (JSON.parse(readFileSync(recorded, "utf8")) as { readonly [name: string]: unknown })[name];
    expect(differences(outcome(name), then)).toEqual([]);
  });
});
