import { BellmouthError, requireNumber } from "../fault/index.js";
import {
  type Area,
  type MassFlow,
  metresPerSecond,
  type Pressure,
  type Speed,
  type Temperature,
} from "../units/index.js";
import { AIR_HEAT_CAPACITY_RATIO, DRY_AIR_GAS_CONSTANT } from "./gas-constants.js";

/** Gas properties; dry air with a constant heat-capacity ratio of 1.4 when not given. */
export interface GasOptions {
  /** Ratio of specific heats [1], over 1 to 1.67. */
  readonly heatCapacityRatio?: number;
  /** Specific gas constant [J/(kg K)]. */
  readonly gasConstant?: number;
}

/** Static over stagnation values of one isentropic stream. All [1]. */
export interface IsentropicRatios {
  readonly pressure: number;
  readonly density: number;
  readonly temperature: number;
  /** Area over the area where the same stream would be sonic. */
  readonly area: number;
  /** Dynamic pressure rho u^2 / 2 over stagnation pressure. */
  readonly dynamicPressure: number;
  /** Mass flow through unit area times sqrt(R T0) over p0. */
  readonly massFlux: number;
}

const gammaOf = (options: GasOptions): number =>
  requireNumber(options.heatCapacityRatio ?? AIR_HEAT_CAPACITY_RATIO, "heatCapacityRatio", "1", {
    over: 1,
    to: 1.67,
  });
const gasOf = (options: GasOptions): number =>
  requireNumber(options.gasConstant ?? DRY_AIR_GAS_CONSTANT, "gasConstant", "J/(kg K)", { over: 0 });

/** G sqrt(R T0) / p0 at a Mach number. */
const fluxParameter = (mach: number, gamma: number): number =>
  Math.sqrt(gamma) * mach * (1 + ((gamma - 1) / 2) * mach * mach) ** (-(gamma + 1) / (2 * (gamma - 1)));

/**
 * Isentropic relations of a perfect gas at a Mach number.
 *
 * @param mach [1], 0 to 5; `area` is infinite at 0
 * @throws E_DOMAIN out of range, or NaN
 * @source NACA Report 1135, "Equations, Tables, and Charts for Compressible Flow" (1953).
 * @example isentropicRatios(0.5).pressure // ≈ 0.843019
 */
export function isentropicRatios(mach: number, options: GasOptions = {}): IsentropicRatios {
  const M = requireNumber(mach, "mach", "1", { from: 0, to: 5 });
  const gamma = gammaOf(options);
  const temperature = 1 / (1 + ((gamma - 1) / 2) * M * M);
  const pressure = temperature ** (gamma / (gamma - 1));
  const massFlux = fluxParameter(M, gamma);
  return {
    pressure,
    density: temperature ** (1 / (gamma - 1)),
    temperature,
    area: fluxParameter(1, gamma) / massFlux,
    dynamicPressure: (gamma / 2) * M * M * pressure,
    massFlux,
  };
}

/**
 * Static over stagnation pressure at which a throat becomes sonic [1].
 *
 * @throws E_DOMAIN on gas properties out of range, or NaN
 * @source NACA Report 1135 (1953), perfect-gas relations.
 * @example criticalPressureRatio() // ≈ 0.528282
 */
export function criticalPressureRatio(options: GasOptions = {}): number {
  const gamma = gammaOf(options);
  return (2 / (gamma + 1)) ** (gamma / (gamma - 1));
}

/**
 * Speed of sound [m/s].
 *
 * @param temperature static [K]
 * @throws E_DOMAIN unless positive
 * @source NACA Report 1135 (1953), perfect-gas relations.
 * @example speedOfSound(celsius(15)) // ≈ 340.294
 */
export function speedOfSound(temperature: Temperature, options: GasOptions = {}): Speed {
  const T = requireNumber(temperature, "temperature", "K", { over: 0 });
  return metresPerSecond(Math.sqrt(gammaOf(options) * gasOf(options) * T));
}

/** Conditions upstream, where the air is as good as at rest. */
export interface Stagnation {
  /** [Pa] */
  readonly stagnationPressure: Pressure;
  /** [K] */
  readonly stagnationTemperature: Temperature;
}

function requireStagnation(from: Stagnation): readonly [p0: number, T0: number] {
  return [
    requireNumber(from.stagnationPressure, "stagnationPressure", "Pa", { over: 0 }),
    requireNumber(from.stagnationTemperature, "stagnationTemperature", "K", { over: 0 }),
  ];
}

export interface IsentropicFlux {
  /** [kg/(s m^2)] */
  readonly massFlux: number;
  /** Mach number in the throat [1]. */
  readonly mach: number;
  /** True when the throat is sonic and a lower pressure behind it draws no more. */
  readonly choked: boolean;
}

/**
 * Mass flux [kg/(s m^2)] of a lossless throat fed from rest, choked when the pressure behind it is low enough.
 *
 * @param flow stagnation state and the static pressure in the throat [Pa], 0 to the stagnation pressure
 * @throws E_DOMAIN when a pressure or temperature is not positive, or the throat is above stagnation pressure
 * @source NACA Report 1135 (1953); ISO 9300 for the sonic case.
 * @example massFlux({ stagnationPressure: pascals(101325), stagnationTemperature: celsius(15), pressure: pascals(50000) }).massFlux // ≈ 241.24
 */
export function massFlux(
  flow: Stagnation & { readonly pressure: Pressure },
  options: GasOptions = {},
): IsentropicFlux {
  const [p0, T0] = requireStagnation(flow);
  const p = requireNumber(flow.pressure, "pressure", "Pa", { from: 0, to: p0 });
  const gamma = gammaOf(options);
  const choked = p / p0 <= criticalPressureRatio(options);
  // expm1/log1p keep full precision where the drop is a few pascals.
  const rise = Math.expm1(((gamma - 1) / gamma) * -Math.log1p((p - p0) / p0));
  const mach = choked ? 1 : Math.sqrt((2 / (gamma - 1)) * rise);
  const scale = p0 / Math.sqrt(gasOf(options) * T0);
  return { massFlux: fluxParameter(mach, gamma) * scale, mach, choked };
}

/**
 * Mass flux of a sonic throat [kg/(s m^2)]: the most that any duct can pass per area from this stagnation state.
 *
 * @throws E_DOMAIN unless pressure and temperature are positive
 * @source ISO 9300, ideal-gas critical flow function.
 * @example chokedMassFlux({ stagnationPressure: pascals(101325), stagnationTemperature: celsius(15) }) // ≈ 241.24
 */
export function chokedMassFlux(from: Stagnation, options: GasOptions = {}): number {
  const [p0, T0] = requireStagnation(from);
  return fluxParameter(1, gammaOf(options)) * (p0 / Math.sqrt(gasOf(options) * T0));
}

/**
 * Subsonic Mach number [1] of a stream in a duct, solved from its mass flow and stagnation state.
 *
 * @throws E_DOMAIN when an argument is out of range, or the flow is more than the duct can pass ({@link chokedMassFlux})
 * @source NACA Report 1135 (1953), perfect-gas relations.
 * @example machNumber({ massFlow: gramsPerSecond(300), area: mm2(3000), stagnationPressure: pascals(101325), stagnationTemperature: celsius(15) }) // ≈ 0.2489
 */
export function machNumber(
  flow: Stagnation & { readonly massFlow: MassFlow; readonly area: Area },
  options: GasOptions = {},
): number {
  const [p0, T0] = requireStagnation(flow);
  const m = requireNumber(flow.massFlow, "massFlow", "kg/s", { from: 0 });
  const area = requireNumber(flow.area, "area", "m^2", { over: 0 });
  const gamma = gammaOf(options);
  const wanted = ((m / area) * Math.sqrt(gasOf(options) * T0)) / p0;
  const most = fluxParameter(1, gamma);
  if (!(wanted <= most)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the duct cannot pass this flow: it is choked",
      found: `${m} kg/s`,
      accepted: `at most ${(m * most) / wanted} kg/s`,
      at: { path: "massFlow" },
    });
  }
  // The flux rises steadily to M = 1, where it is flat: bisection is sure there, Newton is not.
  let low = 0;
  let high = 1;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (fluxParameter(middle, gamma) < wanted) low = middle;
    else high = middle;
  }
  return wanted === most ? 1 : (low + high) / 2;
}

/**
 * Expansibility factor [1] of a lossless contraction: mass flow over that of `A sqrt(2 rho1 dp / (1 - beta^4))` with
 * the upstream density. Below 1 because air expands on its way; 1 for a small drop, whence the rule
 * `1 - 3 dp / (4 gamma p)` for a throat fed from rest.
 *
 * @param pressureRatio throat over upstream static pressure [1], from the critical ratio to 1
 * @param diameterRatio throat over upstream diameter [1], 0 (fed from rest) to under 1
 * @throws E_DOMAIN out of range, or NaN
 * @source ISO 5167-3:2003, 5.1.6.3.
 * @example expansibility(0.98, 0.5) // ≈ 0.988291
 */
export function expansibility(pressureRatio: number, diameterRatio = 0, options: GasOptions = {}): number {
  const gamma = gammaOf(options);
  const r = requireNumber(pressureRatio, "pressureRatio", "1", {
    from: criticalPressureRatio(options),
    to: 1,
  });
  const b4 = requireNumber(diameterRatio, "diameterRatio", "1", { from: 0, under: 1 }) ** 4;
  if (r === 1) return 1;
  const power = r ** (2 / gamma);
  const fall = -Math.expm1(((gamma - 1) / gamma) * Math.log(r));
  return Math.sqrt(((gamma * power) / (gamma - 1)) * ((1 - b4) / (1 - b4 * power)) * (fall / (1 - r)));
}
