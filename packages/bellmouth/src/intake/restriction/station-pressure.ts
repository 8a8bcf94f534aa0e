import { AIR_HEAT_CAPACITY_RATIO } from "../../air/index.js";

const GAMMA = AIR_HEAT_CAPACITY_RATIO;

/** A stream passing a station. */
export interface StationStream {
  /** static pressure [Pa] */
  readonly pressure: number;
  /** total temperature, that of the air at rest [K] */
  readonly temperature: number;
  /** [kg/s] */
  readonly flow: number;
  /** [m^2] */
  readonly area: number;
  /** specific gas constant [J/(kg K)] */
  readonly gasConstant: number;
}

/**
 * Mach number [1] of a stream from the static pressure that a wall tapping reads.
 *
 * @param stream pressure [Pa], temperature [K], flow [kg/s], area [m^2], gas constant [J/(kg K)], all > 0
 * @source one-dimensional perfect-gas flow (NACA Report 1135, 1953): m sqrt(R T0)/(A p) = sqrt(g) M sqrt(1 + (g-1) M^2/2),
 *   a quadratic in M^2
 * @example
 * machAtStation({ pressure: 97000, temperature: 298.15, flow: 0.25, area: 0.0043, gasConstant: 287.05 }) // ≈ 0.148
 */
export function machAtStation(stream: StationStream): number {
  const flux =
    (stream.flow * Math.sqrt(stream.gasConstant * stream.temperature)) / (stream.area * stream.pressure);
  const half = (GAMMA - 1) / 2;
  const x = (2 * half * flux * flux) / GAMMA;
  // (sqrt(1 + 2x) - 1) / (2 half), written so that a slow stream keeps its digits
  return Math.sqrt((2 * x) / (Math.sqrt(1 + 2 * x) + 1) / (2 * half));
}

/**
 * Total pressure [Pa] of a stream: what it would have if brought to rest without loss.
 *
 * @param stream as for `machAtStation`
 */
export function totalPressure(stream: StationStream): number {
  const mach = machAtStation(stream);
  return stream.pressure * (1 + ((GAMMA - 1) / 2) * mach * mach) ** (GAMMA / (GAMMA - 1));
}

/**
 * Drop [Pa] that the same losses would make in air of the outside density all along. Air thins as it loses pressure,
 * and dp = b m^2/rho with the density of the place gives p dp = const: the squares of pressure add up along the tract,
 * the drops themselves do not.
 *
 * @param drop    outside less total pressure at the station [Pa]
 * @param outside pressure of the outside air [Pa]
 * @source isothermal flow with loss; e.g. Perry's Chemical Engineers' Handbook, compressible flow in pipes
 * @example
 * reducedDrop(5000, 100000) // ≈ 4875
 */
export const reducedDrop = (drop: number, outside: number): number => drop * (1 - drop / (2 * outside));

/** The reverse of `reducedDrop`: actual drop [Pa] from the reduced one [Pa]; NaN when the tract would be choked. */
export const actualDrop = (reduced: number, outside: number): number =>
  (2 * reduced) / (1 + Math.sqrt(1 - (2 * reduced) / outside));
