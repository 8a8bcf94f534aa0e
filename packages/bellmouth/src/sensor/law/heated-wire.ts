import { requireNumber } from "../../fault/index.js";

/**
 * Heat transfer of a cylinder across a stream, as Nusselt number over Reynolds and Prandtl number: what stands behind
 * the shape of a hot-wire meter's curve. Used to judge fitted exponents, and for made-up sensors in tests.
 *
 * king: King's own theory · collis-williams: air, 0.02 < Re < 140, with the wire's temperature loading · kramers ·
 * churchill-bernstein: all Re Pr > 0.2.
 */
export type HeatedWireLaw = "king" | "collis-williams" | "kramers" | "churchill-bernstein";

export interface HeatedWireState {
  /** Reynolds number of the wire's diameter, > 0 [1]; at film conditions for collis-williams and kramers */
  readonly reynolds: number;
  /** Prandtl number, > 0 [1]; not used by collis-williams */
  readonly prandtl: number;
  /** film over stream temperature, both absolute, > 0 [1]; used by collis-williams only */
  readonly filmRatio: number;
}

/** Reynolds number at which eddies begin to leave the wire and the Collis-Williams coefficients change [1]. */
const SHEDDING = 44;

/**
 * Nusselt number of a heated wire across a stream [1].
 *
 * @throws `E_DOMAIN` on NaN and numbers that are not above zero
 * @source L. V. King, Phil. Trans. R. Soc. A 214 (1914) 373; D. C. Collis, M. J. Williams, J. Fluid Mech. 6 (1959) 357,
 *   table 3; H. A. Kramers, Physica 12 (1946) 61; S. W. Churchill, M. Bernstein, J. Heat Transfer 99 (1977) 300
 * @example
 * heatedWireNusselt("churchill-bernstein", { reynolds: 6071, prandtl: 0.7, filmRatio: 1 }) // ≈ 40.637
 */
export function heatedWireNusselt(law: HeatedWireLaw, state: HeatedWireState): number {
  const re = requireNumber(state.reynolds, "state.reynolds", "1", { over: 0 });
  const pr = requireNumber(state.prandtl, "state.prandtl", "1", { over: 0 });
  const film = requireNumber(state.filmRatio, "state.filmRatio", "1", { over: 0 });
  switch (law) {
    case "king":
      return 1 / Math.PI + Math.sqrt((2 * re * pr) / Math.PI);
    case "collis-williams":
      return (re < SHEDDING ? 0.24 + 0.56 * re ** 0.45 : 0.48 * re ** 0.51) * film ** 0.17;
    case "kramers":
      return 0.42 * pr ** 0.2 + 0.57 * Math.cbrt(pr) * Math.sqrt(re);
    case "churchill-bernstein":
      return (
        0.3 +
        ((0.62 * Math.sqrt(re) * Math.cbrt(pr)) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25) *
          (1 + (re / 282_000) ** 0.625) ** 0.8
      );
  }
}

export interface HeatedWire {
  /** electrical power that leaves by the air, > 0 [W] */
  readonly power: number;
  /** [m] */
  readonly diameter: number;
  /** [m] */
  readonly length: number;
  /** wire over air temperature, > 0 [K] */
  readonly excess: number;
}

/**
 * Heat transfer coefficient of a heated wire from its power [W/(m^2 K)].
 *
 * @throws `E_DOMAIN`
 * @example
 * wireHeatTransfer({ power: 0.5, diameter: 0.0005, length: 0.02, excess: 50 }) // ≈ 318.31
 */
export function wireHeatTransfer(wire: HeatedWire): number {
  requireNumber(wire.power, "wire.power", "W", { over: 0 });
  requireNumber(wire.diameter, "wire.diameter", "m", { over: 0 });
  requireNumber(wire.length, "wire.length", "m", { over: 0 });
  requireNumber(wire.excess, "wire.excess", "K", { over: 0 });
  return wire.power / (Math.PI * wire.diameter * wire.length * wire.excess);
}
