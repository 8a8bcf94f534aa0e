import { developmentCars, scenario, seededRandom, simulateDrive } from "@bellmouth/simulator";
import {
  checkSums,
  type Drive,
  mergeSums,
  type RefineResult,
  refine,
  solveRefinement,
  sumsOf,
} from "bellmouth/drive";
import { describe, expect, it } from "vitest";

const car = developmentCars[0]!;
const { drive: spec } = scenario(car, "8-minute drive", true, seededRandom(61));
const curve = spec.table;
const logged = (seed: number): Drive => {
  const { time, ...rest } = simulateDrive({ ...spec, startCoolant: 350 }, seededRandom(seed)).columns;
  return {
    name: `drive ${seed}`,
    channels: Object.fromEntries(Object.entries(rest).map(([name, value]) => [name, { time, value }])),
  };
};
const timed = (drive: Drive, of: (t: number) => number): Drive => ({
  ...drive,
  channels: Object.fromEntries(
    Object.entries(drive.channels).map(([name, { time, value }]) => [name, { time: time.map(of), value }]),
  ),
});
const cut = (drive: Drive, from: number, to: number): Drive => ({
  ...drive,
  channels: Object.fromEntries(
    Object.entries(drive.channels).map(([name, { time, value }]) => [
      name,
      { time: time.slice(from, to), value: value.slice(from, to) },
    ]),
  ),
});

/** Largest relative difference of all flows and uncertainties of two results [1]. */
function apart(a: RefineResult, b: RefineResult): number {
  let most = 0;
  a.cells.forEach((cell, i) => {
    const other = b.cells[i]!;
    for (const key of ["after", "mean", "low", "high", "u", "uShape"] as const)
      most = Math.max(most, Math.abs(cell[key] / other[key] - 1));
  });
  return most;
}

describe("a refinement does not depend on", () => {
  const [a, b] = [logged(1), logged(2)];
  const [one, two] = [sumsOf(a, curve), sumsOf(b, curve)];
  const whole = solveRefinement(curve, mergeSums(one, two));
  const alone = solveRefinement(curve, one);

  it.each([1e5, 12345.678, 1.7e9])("N17: when the log's clock started: + %s s", (by) => {
    expect(apart(refine(curve, [timed(a, (t) => t + by)]), alone)).toBeLessThan(1e-6);
  });
  it("N17: time that went through milliseconds", () => {
    expect(apart(refine(curve, [timed(a, (t) => (1000 * t) / 1000)]), alone)).toBeLessThan(1e-6);
    expect(apart(refine(curve, [timed(a, (t) => 1000 * t * 0.001)]), alone)).toBeLessThan(1e-6);
  });
  it("N17: flows and speeds that went through other units", () => {
    const round = (value: Float64Array, factor: number): Float64Array =>
      value.map((v) => (v * factor) / factor);
    const { signal, engineSpeed } = a.channels;
    const other: Drive = {
      ...a,
      channels: {
        ...a.channels,
        signal: { ...signal!, value: round(signal!.value, 3.6e3) },
        engineSpeed: { ...engineSpeed!, value: round(engineSpeed!.value, 60) },
      },
    };
    expect(apart(refine(curve, [other]), alone)).toBeLessThan(1e-6);
  });
  it("N17: the order of the drives", () => {
    expect(apart(solveRefinement(curve, mergeSums(two, one)), whole)).toBeLessThan(1e-9);
  });
  it("P4: saving: the posterior from records is that from the drives, in any order of keys", () => {
    const saved = JSON.stringify(mergeSums(one, two));
    expect(apart(solveRefinement(curve, checkSums(JSON.parse(saved))), whole)).toBeLessThan(1e-9);
    const sorted = JSON.stringify(JSON.parse(saved), (_, value: unknown) =>
      typeof value === "object" && value !== null && !Array.isArray(value)
        ? Object.fromEntries(Object.entries(value).reverse())
        : value,
    );
    expect(apart(solveRefinement(curve, checkSums(JSON.parse(sorted))), whole)).toBeLessThan(1e-9);
  });
  it("a log that is listed twice, or overlaps another, and says so", () => {
    const twice = refine(curve, [a, { ...a, name: "copy" }]);
    expect(apart(twice, alone)).toBeLessThan(1e-9);
    expect(twice.findings.map(({ code }) => code)).toContain("repeated log");
    const later = refine(curve, [a, timed({ ...a, name: "copy" }, (t) => t + 777)]);
    expect(apart(later, alone)).toBeLessThan(1e-9);
    const rows = a.channels.signal!.value.length;
    const halves = refine(curve, [cut(a, 0, Math.round(0.7 * rows)), cut(a, Math.round(0.4 * rows), rows)]);
    expect(halves.findings.find(({ code }) => code === "repeated log")?.text).toMatch(/repeats rows/u);
    // Counted once: driven time is that of the log, to the stretches that its ends cut.
    const seconds = (result: RefineResult): number =>
      result.cells.reduce((sum, cell) => sum + cell.seconds, 0);
    expect(seconds(halves)).toBeLessThan(1.1 * seconds(alone));
    const plain = refine(curve, [a, b]);
    expect(plain.findings.map(({ code }) => code)).not.toContain("repeated log");
  });
});

describe("a saved record", () => {
  const sums = sumsOf(logged(3), curve);
  it("P4: is at most 200 kB of JSON, whatever the table", () => {
    expect(JSON.stringify(sums).length).toBeLessThan(200_000);
    const cells = Array.from({ length: 256 }, (_, i) => {
      const at = (curve.cells.length - 1) * (i / 255);
      const k = Math.min(curve.cells.length - 2, Math.floor(at));
      const [l, r] = [curve.cells[k]!, curve.cells[k + 1]!];
      const mix = (x: number, y: number): number => x + (at - k) * (y - x);
      return { ...l, signal: mix(l.signal, r.signal), flow: mix(l.flow, r.flow) };
    });
    expect(JSON.stringify(sumsOf(logged(3), { ...curve, cells })).length).toBeLessThan(200_000);
  });
  it.each([
    ["a number that is none", (s: string) => s.replace(/"vector":\[[^,]*/u, '"vector":[null')],
    ["a number that was changed", (s: string) => s.replace(/"loaded":[^,]*/u, '"loaded":1')],
    ["a matrix cut short", (s: string) => s.replace(/"matrix":\[[^,]*,/u, '"matrix":[')],
    ["another version", (s: string) => s.replace('"version":1', '"version":2')],
    ["another kind", (s: string) => s.replace('"refine evidence"', '"evidence"')],
  ])("P4: is refused with %s", (_, spoil) => {
    const text = JSON.stringify(sums);
    expect(spoil(text)).not.toBe(text);
    expect(() => checkSums(JSON.parse(spoil(text)))).toThrow(/E_SCHEMA/u);
  });
});
