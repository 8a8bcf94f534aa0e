import { gasConstant, humidityRatio, type MoistAir } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import {
  type Density,
  kilograms,
  kilogramsPerCubicMetre,
  kilogramsPerSecond,
  type Mass,
  type MassFlow,
  type Pressure,
  type RotationalSpeed,
  type Temperature,
  type Volume,
} from "../../units/index.js";

/** An engine as far as its air demand goes. */
export interface DemandingEngine {
  /** swept volume of all cylinders [m^3] */
  readonly displacement: Volume;
  /** of a cycle: one intake stroke every second turn, or every turn */
  readonly strokes: 4 | 2;
  /** [rev/s] */
  readonly speed: RotationalSpeed;
  /** air taken in over displacement filled at manifold density [1] */
  readonly volumetricEfficiency: Uncertain;
  /** absolute [Pa]; the day's pressure when not given: no restriction and no boost */
  readonly manifoldPressure?: Pressure | Uncertain<Pressure>;
  /** of the air in the manifold [K]; the day's temperature when not given, the coldest it can be without a cooler colder than the day */
  readonly chargeTemperature?: Temperature | Uncertain<Temperature>;
}

/** What an engine asks of its air meter. */
export interface EngineDemand {
  /** humid air through the meter [kg/s], as a meter weighs it; u from volumetric efficiency, manifold pressure and charge temperature */
  readonly flow: Uncertain<MassFlow>;
  /** the part that burns: without its water vapour [kg/s] */
  readonly dryFlow: MassFlow;
  /** density that the displacement is filled at [kg/m^3] */
  readonly density: Density;
}

/**
 * Air that an engine draws on a day: volumetric efficiency x density x displacement x intake strokes a second.
 *
 * @param engine displacement [m^3], speed [rev/s], volumetric efficiency [1], manifold [Pa] and [K]
 * @param day    outside air; its water vapour stays with it into the manifold
 * @throws `E_DOMAIN` when a number is out of range, or NaN
 * @source J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.27
 * @example
 * const engine = { displacement: litres(2), strokes: 4, speed: rpm(6000), volumetricEfficiency: { value: 0.9, u: 0.03 } };
 * const day = { temperature: celsius(15), pressure: pascals(101325), relativeHumidity: 0 };
 * toGramsPerSecond(engineDemand(engine, day).flow.value) // ≈ 110.25
 * toGramsPerSecond(engineDemand(engine, day).flow.u) // ≈ 3.675
 */
export function engineDemand(engine: DemandingEngine, day: MoistAir): EngineDemand {
  const displacement = requireNumber(engine.displacement, "engine.displacement", "m^3", { over: 0 });
  const speed = requireNumber(engine.speed, "engine.speed", "rev/s", { over: 0 });
  const { value, u } = engine.volumetricEfficiency;
  requireNumber(value, "engine.volumetricEfficiency.value", "1", { over: 0, to: 2 });
  requireNumber(u, "engine.volumetricEfficiency.u", "1", { from: 0 });
  if (engine.strokes !== 4 && engine.strokes !== 2) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "an engine's cycle has four strokes or two",
      found: String(engine.strokes),
      accepted: "4 or 2",
      at: { path: "engine.strokes" },
    });
  }
  const manifold = withUncertainty(engine.manifoldPressure ?? day.pressure);
  const charge = withUncertainty(engine.chargeTemperature ?? day.temperature);
  const pressure = requireNumber(manifold.value, "engine.manifoldPressure", "Pa", { over: 0 });
  const temperature = requireNumber(charge.value, "engine.chargeTemperature", "K", { over: 0 });
  requireNumber(manifold.u, "engine.manifoldPressure.u", "Pa", { from: 0, under: pressure });
  requireNumber(charge.u, "engine.chargeTemperature.u", "K", { from: 0, under: temperature });
  // The mixture keeps its gas constant on the way in: same mole fractions.
  const constant = gasConstant(day);
  const density = kilogramsPerCubicMetre(pressure / (constant * temperature));
  const swept = displacement * speed * (engine.strokes === 4 ? 0.5 : 1);
  const filled = density * swept;
  return {
    flow: {
      value: kilogramsPerSecond(filled * value),
      u: filled * Math.hypot(u, (value * manifold.u) / pressure, (value * charge.u) / temperature),
    },
    dryFlow: kilogramsPerSecond((filled * value) / (1 + humidityRatio(day))),
    density,
  };
}

const withUncertainty = (one: number | { readonly value: number; readonly u: number }) =>
  typeof one === "number" ? { value: one, u: 0 } : one;

/** A range of weather: the lowest and highest that the user names. */
export interface Weather {
  /** [K] */
  readonly temperature: readonly [Temperature, Temperature];
  /** absolute [Pa] */
  readonly pressure: readonly [Pressure, Pressure];
  /** relative [1] */
  readonly relativeHumidity: readonly [number, number];
}

/**
 * The day of a range of weather on which an engine draws the most: as a rule the coldest, driest, of highest pressure,
 * but with the manifold's own pressure or temperature given not all of that counts. Every corner is tried.
 *
 * @param engine as in `engineDemand`
 * @param range  temperatures [K], pressures [Pa], relative humidities [1]
 * @throws `E_DOMAIN` as `engineDemand`, or when a range runs backwards
 */
export function dayThatAsksMost(
  engine: DemandingEngine,
  range: Weather,
): { day: MoistAir; demand: EngineDemand } {
  for (const key of ["temperature", "pressure", "relativeHumidity"] as const) {
    requireNumber(range[key][1], `range.${key}[1]`, "the same unit", { from: range[key][0] });
  }
  const corners = range.temperature.flatMap((temperature) =>
    range.pressure.flatMap((pressure) =>
      range.relativeHumidity.map(
        (relativeHumidity): MoistAir => ({ temperature, pressure, relativeHumidity }),
      ),
    ),
  );
  return corners
    .map((day) => ({ day, demand: engineDemand(engine, day) }))
    .reduce((most, one) => (one.demand.flow.value > most.demand.flow.value ? one : most));
}

/**
 * Volumetric efficiency [1] that an engine's measured air flow means: the inverse of `engineDemand`.
 *
 * @param flow   humid air [kg/s], u its standard uncertainty
 * @param engine without its volumetric efficiency
 * @param day    outside air
 * @throws `E_DOMAIN` as `engineDemand`, or when the flow is not positive
 */
export function volumetricEfficiencyOf(
  flow: Uncertain<MassFlow>,
  engine: Omit<DemandingEngine, "volumetricEfficiency">,
  day: MoistAir,
): Uncertain {
  requireNumber(flow.value, "flow.value", "kg/s", { over: 0 });
  requireNumber(flow.u, "flow.u", "kg/s", { from: 0 });
  const full = engineDemand({ ...engine, volumetricEfficiency: { value: 1, u: 0 } }, day).flow;
  const value = flow.value / full.value;
  return { value, u: value * Math.hypot(flow.u / flow.value, full.u / full.value) };
}

/**
 * Air per cylinder and intake stroke [kg] that a flow means: what many ECUs take for load.
 *
 * @param flow   [kg/s] >= 0
 * @param engine cylinders [1], strokes of a cycle, speed [rev/s] > 0
 * @throws `E_DOMAIN` when a number is out of range
 * @source definition: flow over cylinders times intake strokes a second, one every second turn of a four-stroke
 * @example
 * const engine = { cylinders: 4, strokes: 4, speed: rpm(6000) } as const;
 * airPerCylinder(gramsPerSecond(100), engine) // ≈ 5e-4
 */
export function airPerCylinder(
  flow: MassFlow,
  engine: { readonly cylinders: number; readonly strokes: 2 | 4; readonly speed: RotationalSpeed },
): Mass {
  requireNumber(flow, "flow", "kg/s", { from: 0 });
  requireNumber(engine.cylinders, "engine.cylinders", "1", { from: 1 });
  requireNumber(engine.speed, "engine.speed", "rev/s", { over: 0 });
  return kilograms(flow / (engine.cylinders * engine.speed * (engine.strokes === 4 ? 0.5 : 1)));
}
