import { describe, expect, it } from "vitest";
import {
  celsius,
  gramsPerKilowattHour,
  gramsPerSecond,
  kelvins,
  kilopascals,
  kilowatts,
  litres,
  rpm,
  toGramsPerSecond,
} from "../../units/index.js";
import {
  type DemandingEngine,
  dayThatAsksMost,
  engineDemand,
  volumetricEfficiencyOf,
} from "./engine-demand.js";
import { airflowForPower, powerFromAirflow, stoichiometricAirFuelRatio } from "./fuel.js";

const engine: DemandingEngine = {
  displacement: litres(2),
  strokes: 4,
  speed: rpm(6000),
  volumetricEfficiency: { value: 0.9, u: 0.03 },
};
const day = { temperature: celsius(15), pressure: kilopascals(101.325), relativeHumidity: 0 };

describe("engineDemand", () => {
  it("a two-stroke fills at every turn", () => {
    const four = engineDemand(engine, day).flow;
    const two = engineDemand({ ...engine, strokes: 2 }, day).flow;
    expect(two.value / four.value).toBeCloseTo(2, 12);
    expect(four.u / four.value).toBeCloseTo(0.03 / 0.9, 12);
  });
  it("boost by absolute pressure and charge temperature; the vapour comes along", () => {
    const boosted = engineDemand(
      { ...engine, manifoldPressure: kilopascals(180), chargeTemperature: celsius(45) },
      { ...day, relativeHumidity: 0.6 },
    );
    const plain = engineDemand(engine, { ...day, relativeHumidity: 0.6 });
    expect(boosted.flow.value / plain.flow.value).toBeCloseTo((180 / 101.325) * (288.15 / 318.15), 10);
    expect(boosted.dryFlow / boosted.flow.value).toBeCloseTo(plain.dryFlow / plain.flow.value, 12);
    expect(plain.dryFlow).toBeLessThan(plain.flow.value);
  });
  it("humid air is lighter", () => {
    const hot = { ...day, temperature: celsius(30) };
    const dry = engineDemand(engine, hot).flow.value;
    expect(engineDemand(engine, { ...hot, relativeHumidity: 1 }).flow.value).toBeLessThan(dry * 0.99);
  });
  it.each([
    [{ displacement: litres(0) }, /displacement/],
    [{ speed: rpm(-1) }, /speed/],
    [{ strokes: 3 as 4 }, /4 or 2/],
    [{ volumetricEfficiency: { value: 90, u: 3 } }, /volumetricEfficiency\.value/],
    [{ volumetricEfficiency: { value: 0.9, u: Number.NaN } }, /volumetricEfficiency\.u/],
    [{ manifoldPressure: kilopascals(0) }, /manifoldPressure/],
  ])("refuses %j", (wrong, message) => {
    expect(() => engineDemand({ ...engine, ...wrong }, day)).toThrow(message);
  });
});

describe("dayThatAsksMost", () => {
  const range = {
    temperature: [celsius(-10), celsius(35)],
    pressure: [kilopascals(97), kilopascals(103.5)],
    relativeHumidity: [0.2, 1],
  } as const;
  it("breathing freely: coldest, highest pressure, driest", () => {
    const { day: most, demand } = dayThatAsksMost(engine, range);
    expect(most).toEqual({ temperature: celsius(-10), pressure: kilopascals(103.5), relativeHumidity: 0.2 });
    expect(demand.flow.value).toBeGreaterThan(engineDemand(engine, day).flow.value);
  });
  it("with the manifold's own pressure and temperature only the vapour counts: least of it by mole", () => {
    const held = { ...engine, manifoldPressure: kilopascals(180), chargeTemperature: celsius(45) };
    expect(dayThatAsksMost(held, range).day.temperature).toBe(celsius(-10));
  });
  it("refuses a range that runs backwards", () => {
    expect(() => dayThatAsksMost(engine, { ...range, temperature: [celsius(30), celsius(-5)] })).toThrow(
      /range\.temperature/,
    );
  });
});

describe("volumetricEfficiencyOf", () => {
  it("N23: the uncertainties of manifold pressure and charge temperature are in the flow", () => {
    const manifoldPressure = { value: kilopascals(180), u: kilopascals(3.6) };
    const chargeTemperature = { value: kelvins(320), u: kelvins(6.4) };
    const { flow } = engineDemand({ ...engine, manifoldPressure, chargeTemperature }, day);
    const own = engine.volumetricEfficiency;
    expect(flow.u / flow.value).toBeCloseTo(Math.hypot(own.u / own.value, 0.02, 0.02), 10);
    const bare = engineDemand(
      { ...engine, manifoldPressure: manifoldPressure.value, chargeTemperature: chargeTemperature.value },
      day,
    );
    expect(bare.flow.value).toBe(flow.value);
    expect(bare.flow.u / flow.value).toBeCloseTo(own.u / own.value, 10);
  });
  it("undoes engineDemand", () => {
    const { flow } = engineDemand(engine, day);
    const { volumetricEfficiency, ...bare } = engine;
    const back = volumetricEfficiencyOf(flow, bare, day);
    expect(back.value).toBeCloseTo(volumetricEfficiency.value, 12);
    expect(back.u).toBeCloseTo(volumetricEfficiency.u, 12);
  });
});

describe("fuel", () => {
  const burned = { airFuelRatio: 12.8, consumption: gramsPerKilowattHour(290) };
  it("power and air are each other's inverse", () => {
    expect(
      toGramsPerSecond(airflowForPower(powerFromAirflow(gramsPerSecond(150), burned), burned)),
    ).toBeCloseTo(150, 10);
    expect(airflowForPower(kilowatts(0), burned)).toBe(0);
  });
  it("refuses what cannot be", () => {
    expect(() => stoichiometricAirFuelRatio({ hydrogen: 0, oxygen: 2 })).toThrow(/oxygen it needs/);
    expect(() => powerFromAirflow(gramsPerSecond(-1), burned)).toThrow(/airflow/);
    expect(() => powerFromAirflow(gramsPerSecond(1), { ...burned, airFuelRatio: 0 })).toThrow(/airFuelRatio/);
  });
});
