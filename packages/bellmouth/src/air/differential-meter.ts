import { BellmouthError, requireNumber } from "../fault/index.js";
import {
  type Density,
  kilogramsPerSecond,
  type Length,
  type MassFlow,
  type Pressure,
  type PressureDifference,
  pascalsDifference,
  type Viscosity,
} from "../units/index.js";
import { expansibility, type GasOptions } from "./compressible.js";
import { reynoldsRound } from "./reynolds.js";

/**
 * Standard pressure-difference meters, with which a flow bench or a borrowed reference pipe is calibrated.
 * An orifice plate says where its pressure tappings are.
 */
export type DifferentialMeter =
  | "orifice, corner taps"
  | "orifice, D and D/2 taps"
  | "orifice, flange taps"
  | "ISA 1932 nozzle"
  | "long radius nozzle"
  | "venturi nozzle"
  | "machined venturi tube";

const isOrifice = (kind: DifferentialMeter): boolean => kind.startsWith("orifice");

/** Distance of the tappings from the plate over the pipe's bore: upstream L1, downstream L2'. */
function tappings(kind: DifferentialMeter, diameter: number): readonly [L1: number, L2: number] {
  if (kind === "orifice, corner taps") return [0, 0];
  if (kind === "orifice, D and D/2 taps") return [1, 0.47];
  return [0.0254 / diameter, 0.0254 / diameter];
}

/** Reader-Harris/Gallagher equation. */
function orificeDischarge(kind: DifferentialMeter, diameter: number, b: number, re: number): number {
  const [L1, L2] = tappings(kind, diameter);
  const A = ((19_000 * b) / re) ** 0.8;
  const M2 = (2 * L2) / (1 - b);
  const b4 = b ** 4;
  const base =
    0.5961 +
    0.0261 * b ** 2 -
    0.216 * b ** 8 +
    0.000521 * ((1e6 * b) / re) ** 0.7 +
    (0.0188 + 0.0063 * A) * b ** 3.5 * (1e6 / re) ** 0.3;
  const taps =
    (((0.043 + 0.08 * Math.exp(-10 * L1) - 0.123 * Math.exp(-7 * L1)) * (1 - 0.11 * A)) / (1 - b4)) * b4 -
    0.031 * (M2 - 0.8 * M2 ** 1.1) * b ** 1.3;
  const small = diameter < 0.07112 ? 0.011 * (0.75 - b) * (2.8 - diameter / 0.0254) : 0;
  return base + taps + small;
}

/** A meter in a pipe. */
export interface MeterInPipe {
  readonly kind: DifferentialMeter;
  /** Bore of the pipe upstream [m]. */
  readonly diameter: Length;
  /** Bore of the plate or throat [m]. */
  readonly throat: Length;
}

function diameterRatio(meter: MeterInPipe): number {
  const D = requireNumber(meter.diameter, "meter.diameter", "m", { over: 0 });
  // Wider than any one meter's limits; `meterLimits` reports those.
  return requireNumber(meter.throat, "meter.throat", "m", { from: 0.1 * D, to: 0.85 * D }) / D;
}

/**
 * Discharge coefficient [1].
 *
 * @param meter    throat over bore 0.1 to 0.85
 * @param reynolds of the pipe [1], over 1000
 * @throws E_DOMAIN out of range, or NaN
 * @source ISO 5167-2:2003 (Reader-Harris/Gallagher), ISO 5167-3:2003 (nozzles), ISO 5167-4:2003 (venturi tube).
 * @example dischargeCoefficient({ kind: "orifice, corner taps", diameter: mm(100), throat: mm(50) }, 1e5) // ≈ 0.606873
 */
export function dischargeCoefficient(meter: MeterInPipe, reynolds: number): number {
  const b = diameterRatio(meter);
  const re = requireNumber(reynolds, "reynolds", "1", { over: 1000 });
  switch (meter.kind) {
    case "ISA 1932 nozzle":
      return 0.99 - 0.2262 * b ** 4.1 - (0.00175 * b ** 2 - 0.0033 * b ** 4.15) * (1e6 / re) ** 1.15;
    case "long radius nozzle":
      return 0.9965 - 0.00653 * Math.sqrt((1e6 * b) / re);
    case "venturi nozzle":
      return 0.9858 - 0.196 * b ** 4.5;
    case "machined venturi tube":
      return 0.995;
    default:
      return orificeDischarge(meter.kind, meter.diameter, b, re);
  }
}

/**
 * Expansibility factor [1] of the meter: empirical for an orifice plate, whose jet is free to spread; isentropic for
 * nozzles and venturis.
 *
 * @param meter         throat over bore 0.1 to 0.85
 * @param pressureRatio downstream over upstream static pressure [1], 0.75 to 1
 * @throws E_DOMAIN out of range, or NaN
 * @source ISO 5167-2:2003, 5.3.2.2; ISO 5167-3:2003, 5.1.6.3.
 * @example meterExpansibility({ kind: "orifice, corner taps", diameter: mm(100), throat: mm(50) }, 0.98) // ≈ 0.994690
 */
export function meterExpansibility(
  meter: MeterInPipe,
  pressureRatio: number,
  options: GasOptions = {},
): number {
  const b = diameterRatio(meter);
  const r = requireNumber(pressureRatio, "pressureRatio", "1", { from: 0.75, to: 1 });
  if (!isOrifice(meter.kind)) return expansibility(r, b, options);
  const gamma = options.heatCapacityRatio ?? 1.4;
  requireNumber(gamma, "heatCapacityRatio", "1", { over: 1, to: 1.67 });
  return 1 - (0.351 + 0.256 * b ** 4 + 0.93 * b ** 8) * (1 - r ** (1 / gamma));
}

/** What a meter reads. */
export interface MeterReading {
  /** Static, upstream [Pa]. */
  readonly upstreamPressure: Pressure;
  /** Difference between the tappings [Pa]. */
  readonly drop: PressureDifference;
  /** Upstream [kg/m^3]. */
  readonly density: Density;
  /** Upstream [Pa s]. */
  readonly viscosity: Viscosity;
}

/** Flow through a differential meter, and the coefficients that led to it. */
export interface MeterFlow {
  /** [kg/s] */
  readonly massFlow: MassFlow;
  /** Of the pipe [1]. */
  readonly reynolds: number;
  /** [1] */
  readonly dischargeCoefficient: number;
  /** [1] */
  readonly expansibility: number;
  /** Limits of the standard that this reading breaks; the figures are then arithmetic only. */
  readonly outside: readonly string[];
}

/** Limits that ISO 5167:2003 sets (from memory). */
function limitsBroken(meter: MeterInPipe, re: number): readonly string[] {
  // 0.04 / 0.1 is a hair under 0.4: sizes at a limit are inside it.
  const b = Math.round((meter.throat / meter.diameter) * 1e9) / 1e9;
  const broken: string[] = [];
  const check = (fine: boolean, text: string): void => {
    if (!fine) broken.push(text);
  };
  if (isOrifice(meter.kind)) {
    check(meter.diameter >= 0.05 && meter.diameter <= 1, "bore 50 to 1000 mm");
    check(b >= 0.1 && b <= 0.75, "diameter ratio 0.1 to 0.75");
    const least =
      meter.kind === "orifice, flange taps"
        ? Math.max(5000, 170e3 * b * b * meter.diameter)
        : b <= 0.559
          ? 5000
          : 16_000 * b * b;
    check(re >= least, `Reynolds number from ${Math.round(least)}`);
  } else if (meter.kind === "ISA 1932 nozzle") {
    check(meter.diameter >= 0.05 && meter.diameter <= 0.5, "bore 50 to 500 mm");
    check(b >= 0.3 && b <= 0.8, "diameter ratio 0.3 to 0.8");
    const least = b < 0.44 ? 70_000 : 20_000;
    check(re >= least && re <= 1e7, `Reynolds number from ${least} to 1e7`);
  } else if (meter.kind === "long radius nozzle") {
    check(meter.diameter >= 0.05 && meter.diameter <= 0.63, "bore 50 to 630 mm");
    check(b >= 0.2 && b <= 0.8, "diameter ratio 0.2 to 0.8");
    check(re >= 10_000 && re <= 1e7, "Reynolds number from 10000 to 1e7");
  } else if (meter.kind === "venturi nozzle") {
    check(meter.diameter >= 0.065 && meter.diameter <= 0.5, "bore 65 to 500 mm");
    check(b >= 0.316 && b <= 0.775, "diameter ratio 0.316 to 0.775");
    check(re >= 1.5e5 && re <= 2e6, "Reynolds number from 150000 to 2e6");
  } else {
    check(meter.diameter >= 0.05 && meter.diameter <= 0.25, "bore 50 to 250 mm");
    check(b >= 0.4 && b <= 0.75, "diameter ratio 0.4 to 0.75");
    check(re >= 2e5 && re <= 1e6, "Reynolds number from 200000 to 1e6");
  }
  return broken;
}

/**
 * Mass flow through a standard meter, with the discharge coefficient solved together with the flow's Reynolds number.
 *
 * @throws E_DOMAIN when a size, pressure or property is out of range, or the pressure ratio is under 0.75
 * @throws E_NOT_CONVERGED when coefficient and flow do not settle
 * @source ISO 5167-1:2003, equation 1, with parts 2 to 4.
 * @example meterFlow({ kind: "ISA 1932 nozzle", diameter: mm(100), throat: mm(60) }, { upstreamPressure: pascals(101325), drop: pascalsDifference(3000), density: kilogramsPerCubicMetre(1.2041), viscosity: pascalSeconds(1.82e-5) }).massFlow // ≈ 0.242669
 */
export function meterFlow(meter: MeterInPipe, reading: MeterReading, options: GasOptions = {}): MeterFlow {
  const b = diameterRatio(meter);
  const p1 = requireNumber(reading.upstreamPressure, "reading.upstreamPressure", "Pa", { over: 0 });
  const dp = requireNumber(reading.drop, "reading.drop", "Pa", { over: 0, to: 0.25 * p1 });
  const rho = requireNumber(reading.density, "reading.density", "kg/m^3", { over: 0 });
  const eps = meterExpansibility(meter, 1 - dp / p1, options);
  const ideal = ((eps * (Math.PI / 4) * meter.throat ** 2) / Math.sqrt(1 - b ** 4)) * Math.sqrt(2 * rho * dp);
  let C = isOrifice(meter.kind) ? 0.6 : 0.97;
  for (let i = 0; i < 100; i++) {
    const massFlow = kilogramsPerSecond(C * ideal);
    const re = reynoldsRound(massFlow, meter.diameter, reading.viscosity);
    const next = dischargeCoefficient(meter, re);
    if (Math.abs(next - C) <= 1e-14) {
      return {
        massFlow,
        reynolds: re,
        dischargeCoefficient: next,
        expansibility: eps,
        outside: limitsBroken(meter, re),
      };
    }
    C = next;
  }
  throw new BellmouthError({
    code: "E_NOT_CONVERGED",
    message: "discharge coefficient and flow did not settle",
  });
}

/**
 * Pressure that an orifice plate or ISA nozzle costs for good [Pa], downstream of the recovery.
 *
 * @param meter      throat over bore 0.1 to 0.85
 * @param drop       between the tappings [Pa]
 * @param coefficient discharge coefficient [1]
 * @throws E_DOMAIN out of range, or NaN
 * @source ISO 5167-2:2003, 5.4.1.
 * @example permanentLoss({ kind: "orifice, corner taps", diameter: mm(100), throat: mm(40) }, pascalsDifference(3000), 0.6) // ≈ 2470.478
 */
export function permanentLoss(
  meter: MeterInPipe,
  drop: PressureDifference,
  coefficient: number,
): PressureDifference {
  const b = diameterRatio(meter);
  const C = requireNumber(coefficient, "coefficient", "1", { over: 0, to: 1 });
  const dp = requireNumber(drop, "drop", "Pa", { from: 0 });
  const root = Math.sqrt(1 - b ** 4 * (1 - C * C));
  return pascalsDifference((dp * (root - C * b * b)) / (root + C * b * b));
}
