import { describe, expect, it } from "vitest";
import { type PulsationSpec, pulsatingSignal, pulsationAmplitude } from "./pulsation.js";

const spec: PulsationSpec = { amplitude: 1.3, speed: 30, width: 0.3, loadFrom: 0.6, averages: "flow" };
const identity = (flow: number): number => flow;

describe("pulsation", () => {
  it("is largest at its speed with an open throttle, and fades with speed and load", () => {
    expect(pulsationAmplitude(spec, 30, 1)).toBe(1.3);
    expect(pulsationAmplitude(spec, 30, 0.8)).toBeCloseTo(0.65, 12);
    expect(pulsationAmplitude(spec, 30, 0.5)).toBe(0);
    expect(pulsationAmplitude(spec, 30 * Math.exp(0.3), 1)).toBeCloseTo(1.3 * Math.exp(-0.5), 12);
  });

  it("reads right with flow averaged until the flow turns back, then what a rectifier gives", () => {
    expect(pulsatingSignal(spec, 2, 0.95, identity)).toBeCloseTo(2, 12);
    // Mean of |1 + A sin x|, A > 1: (2/pi)(asin(1/A) + sqrt(A^2 - 1)); sixteen phases are within half a per cent of it.
    const exact = (2 / Math.PI) * (Math.asin(1 / 1.3) + Math.sqrt(1.3 ** 2 - 1));
    expect(Math.abs(pulsatingSignal(spec, 2, 1.3, identity) / 2 / exact - 1)).toBeLessThan(5e-3);
    expect(exact).toBeGreaterThan(1.08);
  });

  it("reads low with the signal averaged, by (1 - 1/p) A^2/4 for flow = signal^p", () => {
    const p = 2.6;
    const signal = pulsatingSignal({ ...spec, averages: "signal" }, 2, 0.3, (flow) => flow ** (1 / p));
    expect(signal ** p / 2 - 1).toBeCloseTo(-((1 - 1 / p) * 0.3 ** 2) / 4, 3);
  });
});
