import { describe, expect, it } from "vitest";
import type { Timeline } from "./timeline.js";
import { carried, cumulativeAir, lagRecursion, lowPass, transportOf } from "./transport.js";

const n = 400;
const step = 0.05;
const timeline = (metered: (t: number) => number): Timeline =>
  ({
    grid: { start: 0, step, n },
    metered: Float64Array.from({ length: n }, (_, t) => metered(t * step)),
    restart: Uint8Array.from({ length: n }, (_, t) => (t === 0 ? 1 : 0)),
    clean: new Uint8Array(n).fill(1),
    speed: new Float64Array(n).fill(30),
  }) as unknown as Timeline;

describe("transport from dosing to reading", () => {
  it("delays a ramp by fixed + revolutions/speed + gas/flow in steady flow", () => {
    const line = timeline(() => 0.02);
    const law = { fixed: 0.06, revolutions: 1.5, gas: 0.004, lag: 0, late: 0 };
    const out = carried(
      Float64Array.from({ length: n }, (_, t) => t * step),
      transportOf(line, cumulativeAir(line.metered, step), law),
      line.restart,
    );
    // 0.06 s + 1.5/30 s + 0.004/0.02 s = 0.31 s: a ramp reads that much less.
    expect(100 * step - out[100]!).toBeCloseTo(0.31, 9);
  });
  it("follows a plug through changing flow: the gas read left when the flow since then was the plug's mass", () => {
    const flow = (t: number): number => 0.01 + 0.002 * t;
    const line = timeline(flow);
    const out = carried(
      Float64Array.from({ length: n }, (_, t) => t * step),
      transportOf(line, cumulativeAir(line.metered, step), {
        fixed: 0,
        revolutions: 0,
        gas: 0.005,
        lag: 0,
        late: 0,
      }),
      line.restart,
    );
    // Closed form: 0.01 (t - s) + 0.001 (t^2 - s^2) = 0.005 solved for s at t = 10 s.
    const t = 200 * step;
    const s = -5 + Math.sqrt(25 + 10 * t + t * t - 5);
    // Straight lines between rows against the parabola leave under 0.1 ms.
    expect(Math.abs(out[200]! - s)).toBeLessThan(1e-4);
  });
  it("stamps late what the sensor showed before: the plug was pushed by the air up to then", () => {
    const line = timeline((t) => 0.01 + 0.002 * t);
    const late = 0.23;
    const law = { fixed: 0, revolutions: 0, gas: 0.005, lag: 0, late };
    const out = carried(
      Float64Array.from({ length: n }, (_, t) => t * step),
      transportOf(line, cumulativeAir(line.metered, step), law),
      line.restart,
    );
    // The same closed form at t - late.
    const t = 200 * step - late;
    const s = -5 + Math.sqrt(25 + 10 * t + t * t - 5);
    expect(Math.abs(out[200]! - s)).toBeLessThan(1e-4);
  });
  it("lags a step as 1 - exp(-t/lag) and a ramp by exactly the lag in the end", () => {
    const restart = Uint8Array.from({ length: n }, (_, t) => (t === 0 ? 1 : 0));
    const ramp = lowPass(
      Float64Array.from({ length: n }, (_, t) => t * step),
      0.2,
      step,
      restart,
    );
    expect(n * step - step - ramp[n - 1]!).toBeCloseTo(0.2, 9);
    const { decay, before, now } = lagRecursion(0.2, step);
    expect(decay).toBeCloseTo(Math.exp(-0.25), 12);
    expect(before + now).toBeCloseTo(1 - decay, 12);
  });
});
