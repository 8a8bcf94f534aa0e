import type { EngineSpec } from "./car-spec.js";
import { lineThrough } from "./interpolate.js";
import { GAS_CONSTANT, orificeFlow } from "./orifice.js";

/**
 * Volumetric efficiency [1] at an engine speed [rev/s] and manifold over exhaust pressure [1]: the full-load value
 * times what the residual gas leaves, ((e - (pe/pm)^(1/gamma)) / (e - 1)) normalised to full load.
 *
 * @source J. B. Heywood, Internal Combustion Engine Fundamentals (1988), section 6.2, quasi-static effect of the
 *   pressure ratio on volumetric efficiency (form from memory).
 */
export function volumetricEfficiency(engine: EngineSpec, speed: number, pressureRatio: number): number {
  const full = lineThrough(engine.volumetricEfficiency.speed, engine.volumetricEfficiency.value, speed);
  const e = engine.compressionRatio;
  const residual = (e - (1 / Math.max(pressureRatio, 0.1)) ** (1 / 1.35)) / (e - 1);
  return full * Math.max(residual, 0.05);
}

/** Air drawn by the cylinders [kg/s] of a four-stroke engine: one filling every second revolution. */
export function cylinderFlow(
  engine: EngineSpec,
  speed: number,
  manifoldPressure: number,
  barometer: number,
  chargeTemperature: number,
): number {
  const density = manifoldPressure / (GAS_CONSTANT * chargeTemperature);
  const ve = volumetricEfficiency(engine, speed, manifoldPressure / barometer);
  return ve * engine.displacement * (speed / 2) * density;
}

export interface ManifoldStep {
  readonly pressure: number;
  /** Through the meter and the throttle [kg/s]. */
  readonly throttleFlow: number;
  readonly leakFlow: number;
  readonly cylinderFlow: number;
}

/**
 * One implicit step of the manifold's mass balance, V/(R T) dp/dt = throttle + leak - cylinders. Implicit because
 * an open throttle makes the balance stiff; the three flows returned and the pressure change agree exactly.
 *
 * @source Filling-and-emptying model: E. Hendricks, S. C. Sorenson, "Mean value modelling of spark ignition
 *   engines", SAE 900616 (1990).
 */
export function fillManifold(
  engine: EngineSpec,
  state: { readonly pressure: number; readonly upstream: number },
  input: {
    readonly step: number;
    readonly throttleArea: number;
    readonly leakArea: number;
    readonly speed: number;
    readonly barometer: number;
    readonly airTemperature: number;
    readonly chargeTemperature: number;
  },
): ManifoldStep {
  const capacity = engine.manifoldVolume / (GAS_CONSTANT * input.chargeTemperature * input.step);
  const flows = (pressure: number): ManifoldStep & { readonly residue: number } => {
    const throttleFlow = orificeFlow(input.throttleArea, state.upstream, pressure, input.airTemperature);
    const leakFlow =
      input.leakArea > 0 ? orificeFlow(input.leakArea, input.barometer, pressure, input.airTemperature) : 0;
    const drawn = cylinderFlow(engine, input.speed, pressure, input.barometer, input.chargeTemperature);
    const residue = throttleFlow + leakFlow - drawn - capacity * (pressure - state.pressure);
    return { pressure, throttleFlow, leakFlow, cylinderFlow: drawn, residue };
  };
  // The residue falls with pressure, so bisection with the Illinois false position cannot fail.
  let low = flows(0.002 * input.barometer);
  let high = flows(input.barometer);
  let [lowResidue, highResidue] = [low.residue, high.residue];
  for (let i = 0; i < 60; i++) {
    const pressure = (low.pressure * highResidue - high.pressure * lowResidue) / (highResidue - lowResidue);
    const next = flows(pressure);
    if (Math.abs(next.residue) < 1e-9 || high.pressure - low.pressure < 1e-3) return next;
    if (next.residue > 0) {
      low = next;
      lowResidue = next.residue;
      highResidue /= 2;
    } else {
      high = next;
      highResidue = next.residue;
      lowResidue /= 2;
    }
    if (i % 8 === 7) [lowResidue, highResidue] = [low.residue, high.residue];
  }
  return low;
}

/**
 * Torque at the crank [N m] from the air of a cycle: indicated work of the burnt air less friction and pumping.
 *
 * @source Indicated efficiency 0.36 on 43 MJ/kg: common practice, no source. Friction 97 + 15 N + 5 N^2 kPa, N in
 *   1,000 rpm: Heywood (1988) eq. 13.6 (from memory). The driver model needs plausible torque only; no check hangs on it.
 */
export function torque(
  engine: EngineSpec,
  speed: number,
  airFlow: number,
  fuelled: boolean,
  vacuum: number,
): number {
  const thousands = (speed * 60) / 1000;
  const friction = (97 + 15 * thousands + 5 * thousands ** 2) * 1e3 + vacuum;
  const indicated = fuelled ? ((airFlow / 14.7) * 43e6 * 0.36) / Math.max(speed / 2, 1) : 0;
  return (indicated - friction * engine.displacement) / (4 * Math.PI);
}

/** Air flow [kg/s] that gives a torque [N m] at an engine speed, the inverse of `torque` with fuel. */
export function airFlowForTorque(engine: EngineSpec, speed: number, wanted: number, vacuum: number): number {
  const spin = torque(engine, speed, 0, false, vacuum);
  return (Math.max(0, (wanted - spin) * 4 * Math.PI) * (speed / 2) * 14.7) / (43e6 * 0.36);
}

/** Throttle opening [1] of a blade area [m^2], and back. Area over opening: common practice, no source. */
export const openingOf = (engine: EngineSpec, area: number): number =>
  Math.min(1, Math.max(0, area / engine.throttleArea.open)) ** (1 / 1.8);
export const areaOf = (engine: EngineSpec, opening: number): number =>
  engine.throttleArea.open * Math.min(1, Math.max(0, opening)) ** 1.8;
