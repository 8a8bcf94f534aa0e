import { describe, expect, it } from "vitest";
import { gateWhereFeedbackRests } from "./feedback-gate.js";

/** A minute at ten rows a second: idle, cruise, full load for 5 s, cruise, overrun for 5 s, cruise. */
const n = 600;
const step = 0.1;
const phase = (t: number): "idle" | "full" | "overrun" | "cruise" =>
  t < 100 ? "idle" : t >= 200 && t < 250 ? "full" : t >= 400 && t < 450 ? "overrun" : "cruise";
const series = (of: { readonly [what in ReturnType<typeof phase>]: number }): Float64Array =>
  Float64Array.from({ length: n }, (_, t) => of[phase(t)]);
const speed = series({ idle: 13, full: 60, overrun: 45, cruise: 40 });
const load = series({ idle: 0.35, full: 0.97, overrun: 0.22, cruise: 0.5 });
const throttle = series({ idle: 0.02, full: 0.95, overrun: 0.02, cruise: 0.15 });
const missing = new Float64Array(n).fill(Number.NaN);
const metered = Float64Array.from(load, (value, t) => 5e-4 * value * speed[t]!);
const gated = (given: { pressureRatio?: Float64Array; throttle?: Float64Array }): Uint8Array => {
  const gate = new Uint8Array(n);
  const rows = { metered, speed, pressureRatio: missing, throttle: missing, gate, step, ...given };
  gateWhereFeedbackRests(rows, { cut: 1, open: 2 });
  return gate;
};

describe("S8: trims count where feedback acts", () => {
  it.each([
    ["by manifold pressure", { pressureRatio: load }],
    ["by manifold pressure and throttle", { pressureRatio: load, throttle }],
    ["by air per revolution where neither is logged", {}],
  ])("%s", (_, given) => {
    const gate = gated(given);
    const at = (from: number, to: number): Set<number> => new Set(gate.subarray(from, to));
    expect(at(0, 200)).toEqual(new Set([0]));
    // Full load and two seconds after it; overrun and four seconds after it.
    expect(at(200, 269)).toEqual(new Set([2]));
    expect(at(272, 400)).toEqual(new Set([0]));
    expect(at(400, 489)).toEqual(new Set([1]));
    expect(at(492, 600)).toEqual(new Set([0]));
  });
  it("keeps the reason of rows that are left out already", () => {
    const gate = new Uint8Array(n).fill(7);
    const rows = { metered, speed, pressureRatio: load, throttle, gate, step };
    gateWhereFeedbackRests(rows, { cut: 1, open: 2 });
    expect(new Set(gate)).toEqual(new Set([7]));
  });
});
