import { BellmouthError, requireNumber } from "../fault/index.js";

// Every factor here is Darcy's: head loss = f (L/D) rho u^2 / 2, four times Fanning's.

/** Highest Reynolds number of laminar pipe flow that can be relied on [1]. */
export const LAMINAR_LIMIT = 2300;
const requireRe = (re: number, from: number): number => requireNumber(re, "reynolds", "1", { from, to: 1e9 });

/** Solves 1/sqrt(f) = law(Re sqrt(f)) by Newton's method in x = 1/sqrt(f); converges from any start in use here. */
function solveFriction(re: number, law: (reRootF: number) => number): number {
  let x = 8;
  for (let i = 0; i < 50; i++) {
    const g = law(re / x) - x;
    const h = x * 1e-6;
    const slope = (law(re / (x + h)) - (x + h) - g) / h;
    const next = x - g / slope;
    if (!(next > 0)) break;
    if (Math.abs(next - x) <= 1e-13 * x) return 1 / (next * next);
    x = next;
  }
  throw new BellmouthError({
    code: "E_NOT_CONVERGED",
    message: "the friction factor did not settle",
    found: `Re ${re}`,
  });
}

/**
 * Darcy friction factor [1] of laminar flow in a round pipe: 64/Re.
 *
 * @throws E_DOMAIN unless 0 < Re <= 2300
 * @source Hagen–Poiseuille.
 * @example frictionFactorLaminar(1000) // ≈ 0.064
 */
export function frictionFactorLaminar(reynolds: number): number {
  return 64 / requireNumber(reynolds, "reynolds", "1", { over: 0, to: LAMINAR_LIMIT });
}

/**
 * Darcy friction factor [1] of turbulent flow in a smooth round pipe, from measurements at Re 3.1e4 to 3.5e7 with a
 * viscous term that carries it down to about 5000. Follows the Oregon pipe within 3 % from Re 4000.
 *
 * @param reynolds 2300 to 1e9; between 2300 and 4000 flow is intermittent and the figure is nominal
 * @throws E_DOMAIN out of range, or NaN
 * @source B. J. McKeon, M. V. Zagarola, A. J. Smits, J. Fluid Mech. 538 (2005) 429-443, with viscous term.
 * @example frictionFactorSmooth(1e5) // ≈ 0.018180
 */
export function frictionFactorSmooth(reynolds: number): number {
  return solveFriction(
    requireRe(reynolds, LAMINAR_LIMIT),
    (y) => 1.92 * Math.log10(y) - 0.475 - 7.04 / y ** 0.55,
  );
}

/**
 * Darcy friction factor [1] by the same authors' law without the viscous term: a pure logarithm, meant for Re [1]
 * above 3e5.
 *
 * @throws E_DOMAIN out of 2300 to 1e9, or NaN
 * @source B. J. McKeon, M. V. Zagarola, A. J. Smits, J. Fluid Mech. 538 (2005) 429-443.
 * @example frictionFactorSmoothLogarithmic(1e6) // ≈ 0.011855
 */
export function frictionFactorSmoothLogarithmic(reynolds: number): number {
  return solveFriction(requireRe(reynolds, LAMINAR_LIMIT), (y) => 1.93 * Math.log10(y) - 0.537);
}

/**
 * Darcy friction factor [1] of a smooth pipe by the classical implicit law 1/sqrt(f) = 2 log10(Re sqrt(f)) - 0.8.
 *
 * @throws E_DOMAIN out of 2300 to 1e9, or NaN
 * @source Prandtl, von Kármán, Nikuradse; H. Schlichting, Boundary-Layer Theory, 7th ed., ch. 20.
 * @example frictionFactorPrandtl(1e5) // ≈ 0.017990
 */
export function frictionFactorPrandtl(reynolds: number): number {
  // 2 log10(2.51) is what the textbooks round to 0.8; the exact constant makes it the smooth limit of Colebrook.
  return frictionFactorColebrook(reynolds, 0);
}

/**
 * Darcy friction factor [1] of a commercial pipe by Colebrook's implicit law, solved.
 *
 * @param reynolds          2300 to 1e9
 * @param relativeRoughness sand-grain roughness over bore [1], 0 to 0.05
 * @throws E_DOMAIN out of range, or NaN
 * @source C. F. Colebrook, J. Inst. Civil Engineers 11 (1939) 133-156.
 * @example frictionFactorColebrook(1e5, 0.001) // ≈ 0.0221745
 */
export function frictionFactorColebrook(reynolds: number, relativeRoughness: number): number {
  const e = requireNumber(relativeRoughness, "relativeRoughness", "1", { from: 0, to: 0.05 });
  return solveFriction(requireRe(reynolds, LAMINAR_LIMIT), (y) => -2 * Math.log10(e / 3.7 + 2.51 / y));
}

/**
 * Explicit approximation of Colebrook's law, within 2 % of it.
 *
 * @param reynolds          2300 to 1e9
 * @param relativeRoughness [1], 0 to 0.05
 * @throws E_DOMAIN out of range, or NaN
 * @source S. E. Haaland, J. Fluids Engineering 105 (1983) 89-90.
 * @example frictionFactorHaaland(1e5, 0.001) // ≈ 0.0219662
 */
export function frictionFactorHaaland(reynolds: number, relativeRoughness: number): number {
  const re = requireRe(reynolds, LAMINAR_LIMIT);
  const e = requireNumber(relativeRoughness, "relativeRoughness", "1", { from: 0, to: 0.05 });
  return (-1.8 * Math.log10((e / 3.7) ** 1.11 + 6.9 / re)) ** -2;
}

/**
 * Darcy friction factor [1] of smooth turbulent flow by the Blasius power law.
 *
 * @param reynolds 2300 to 2e5, past which it falls away from measurement
 * @throws E_DOMAIN out of range, or NaN
 * @source H. Blasius, Forschungsheft VDI 131 (1913): 0.3164 Re^-0.25.
 * @example frictionFactorBlasius(1e4) // ≈ 0.03164
 */
export function frictionFactorBlasius(reynolds: number): number {
  const re = requireNumber(reynolds, "reynolds", "1", { from: LAMINAR_LIMIT, to: 2e5 });
  return 0.3164 * re ** -0.25;
}
