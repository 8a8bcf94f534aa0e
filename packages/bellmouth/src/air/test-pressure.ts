import { requireNumber } from "../fault/index.js";
import {
  cubicMetresPerSecond,
  type Density,
  metresPerSecond,
  type Pressure,
  type PressureDifference,
  pascals,
  type Speed,
  type Temperature,
  type VolumeFlow,
} from "../units/index.js";
import { massFlux } from "./compressible.js";

const requireDrop = (drop: number, path: string): number =>
  requireNumber(drop, path, "Pa", { over: 0, to: 1e5 });

/**
 * Flow-bench reading [m^3/s] brought from one test drop to another by the square-root law. The law leaves
 * expansion out: between 10 and 28 inH2O the mass flow of a lossless nozzle is 2.5 % off
 * ({@link flowAtTestDropCompressible}).
 *
 * @param flow measured at `from`
 * @param from test drop of the measurement [Pa]
 * @param to   test drop wanted [Pa]
 * @throws E_DOMAIN when a flow is negative or a drop is not in (0, 100 kPa]
 * @source Bernoulli; ISO 5167-1:2003 with constant discharge coefficient and expansibility.
 * @example toCubicFeetPerMinute(flowAtTestDrop(cubicFeetPerMinute(200), inH2O(25), inH2O(28))) // ≈ 211.660
 */
export function flowAtTestDrop(
  flow: VolumeFlow,
  from: PressureDifference,
  to: PressureDifference,
): VolumeFlow {
  const Q = requireNumber(flow, "flow", "m^3/s", { from: 0 });
  return cubicMetresPerSecond(Q * Math.sqrt(requireDrop(to, "to") / requireDrop(from, "from")));
}

/** Air a bench draws from the room. */
export interface BenchAir {
  /** [Pa] */
  readonly pressure: Pressure;
  /** [K] */
  readonly temperature: Temperature;
}

/**
 * The same, with the expansion of air through a lossless nozzle drawn from the room: volume flow at room density
 * follows the isentropic mass flux at each drop. The better of the two for ports and housings with little loss.
 *
 * @param flow at room density, measured at `from`
 * @throws E_DOMAIN when a flow is negative, a drop is not in (0, 100 kPa] or exceeds the room's pressure
 * @source NACA Report 1135 (1953), isentropic relations.
 */
export function flowAtTestDropCompressible(
  flow: VolumeFlow,
  from: PressureDifference,
  to: PressureDifference,
  room: BenchAir,
): VolumeFlow {
  const Q = requireNumber(flow, "flow", "m^3/s", { from: 0 });
  requireDrop(from, "from");
  requireDrop(to, "to");
  return cubicMetresPerSecond((Q * idealMassFlux(to, room)) / idealMassFlux(from, room));
}

/**
 * Speed [m/s] that a drop gives incompressible air from rest: `sqrt(2 dp / rho)`.
 *
 * @throws E_DOMAIN when the drop is not in (0, 100 kPa] or the density is not positive
 * @source Bernoulli, incompressible, from rest.
 * @example idealVelocity(inH2O(28), kilogramsPerCubicMetre(1.225012)) // ≈ 106.709
 */
export function idealVelocity(drop: PressureDifference, density: Density): Speed {
  const rho = requireNumber(density, "density", "kg/m^3", { over: 0 });
  return metresPerSecond(Math.sqrt((2 * requireDrop(drop, "drop")) / rho));
}

/**
 * Mass flux [kg/(s m^2)] of a lossless nozzle at a test drop, drawn from the room: what a measured flow per area is
 * divided by to give a discharge coefficient.
 *
 * @throws E_DOMAIN when the drop is not in (0, 100 kPa] or exceeds the room's pressure
 * @source NACA Report 1135 (1953), isentropic relations.
 * @example idealMassFlux(inH2O(28), { pressure: pascals(101325), temperature: celsius(15) }) // ≈ 125.807
 */
export function idealMassFlux(drop: PressureDifference, room: BenchAir): number {
  const p = requireNumber(room.pressure, "room.pressure", "Pa", { over: 0 });
  return massFlux({
    stagnationPressure: room.pressure,
    stagnationTemperature: room.temperature,
    pressure: pascals(p - requireDrop(drop, "drop")),
  }).massFlux;
}
