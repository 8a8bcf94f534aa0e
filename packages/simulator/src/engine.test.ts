import { describe, expect, it } from "vitest";
import { developmentCars } from "./development-cars.js";
import { airFlowForTorque, cylinderFlow, fillManifold, torque } from "./engine.js";
import { GAS_CONSTANT } from "./orifice.js";

const engine = developmentCars[0]!.engine;
const input = {
  step: 0.01,
  leakArea: 2e-6,
  speed: 40,
  barometer: 101e3,
  airTemperature: 295,
  chargeTemperature: 310,
};

describe("fillManifold", () => {
  it("keeps the air: what flows in less what flows out is what the pressure gained", () => {
    let pressure = 30e3;
    let gained = 0;
    const start = pressure;
    for (let i = 0; i < 400; i++) {
      const throttleArea = 2e-5 + 1e-3 * (i > 100 && i < 250 ? 1 : 0);
      const next = fillManifold(engine, { pressure, upstream: 100.5e3 }, { ...input, throttleArea });
      gained += (next.throttleFlow + next.leakFlow - next.cylinderFlow) * input.step;
      pressure = next.pressure;
    }
    const stored = (engine.manifoldVolume * (pressure - start)) / (GAS_CONSTANT * input.chargeTemperature);
    expect(Math.abs(gained - stored)).toBeLessThan(1e-8);
  });

  it("settles where throttle and leak feed the cylinders", () => {
    let state = { pressure: 60e3, upstream: 100.5e3 };
    let flows = fillManifold(engine, state, { ...input, throttleArea: 1.5e-4 });
    for (let i = 0; i < 2000; i++) {
      flows = fillManifold(engine, state, { ...input, throttleArea: 1.5e-4 });
      state = { ...state, pressure: flows.pressure };
    }
    expect(Math.abs((flows.throttleFlow + flows.leakFlow) / flows.cylinderFlow - 1)).toBeLessThan(1e-6);
  });

  it("draws the air of a textbook engine", () => {
    // Definition of volumetric efficiency, four-stroke (J. B. Heywood, Internal Combustion Engine Fundamentals (1988),
    // eq. 2.27): flow = efficiency * density * displacement * speed / 2, here at full load where the efficiency is tabled.
    const density = 101e3 / (GAS_CONSTANT * 300);
    const flow = cylinderFlow(engine, 75, 101e3, 101e3, 300);
    expect(flow).toBeCloseTo(0.95 * density * engine.displacement * (75 / 2), 9);
  });
});

describe("torque", () => {
  it("is undone by the air it needs", () => {
    const air = airFlowForTorque(engine, 50, 90, 40e3);
    expect(torque(engine, 50, air, true, 40e3)).toBeCloseTo(90, 9);
  });

  it("brakes without fuel", () => {
    expect(torque(engine, 60, 0.01, false, 80e3)).toBeLessThan(0);
  });
});
