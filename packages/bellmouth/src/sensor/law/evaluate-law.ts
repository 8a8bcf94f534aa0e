import { BellmouthError, requireNumber } from "../../fault/index.js";
import { logFlow, logFlowGradient } from "./law-curve.js";
import type { TransferLaw } from "./transfer-law.js";

/** Flow by a law, with its relative standard uncertainty by cause. */
export interface LawValue {
  /** [kg/s] */
  readonly flow: number;
  /**
   * relative standard uncertainty of the flow [1]: root of the sum of squares of the parts. It is of the day that the points were
   * measured on; a calibration of another day may differ by more
   */
  readonly u: number;
  readonly extrapolated: boolean;
  readonly parts: {
    /** from the covariance of the parameters */
    readonly parameters: number;
    /** what the law leaves of its own points */
    readonly scatter: number;
    /** disagreement of the laws that fit about as well */
    readonly form: number;
    /** growth past the last point */
    readonly growth: number;
  };
}

/**
 * Flow by a law at a signal, with an uncertainty that widens past the points it was fitted to.
 *
 * @param law    a fitted law
 * @param signal [Hz] or [V]
 * @returns flow [kg/s] and relative standard uncertainty [1]
 * @throws `E_DOMAIN` on NaN, `E_OUTSIDE` where the law has no flow or does not rise
 */
export function evaluateLaw(law: TransferLaw, signal: number): LawValue {
  requireNumber(signal, "signal", "1");
  const { rising, curve } = law;
  // Where a law starts with no flow its logarithm is infinite, and is refused with what lies outside.
  const y =
    signal >= rising.from && (rising.to === null || signal <= rising.to)
      ? logFlow(curve, signal)
      : Number.NaN;
  if (!Number.isFinite(y)) {
    throw new BellmouthError({
      code: "E_OUTSIDE",
      message: `the ${curve.form} law gives no rising flow at this signal`,
      found: String(signal),
      accepted: `from ${rising.from}${rising.to === null ? "" : `, to ${rising.to}`}`,
      at: { path: "signal" },
    });
  }
  const gradient = logFlowGradient(curve, signal);
  let variance = 0;
  gradient.forEach((gi, i) => {
    gradient.forEach((gj, j) => {
      variance += gi * gj * (law.covariance[i]?.[j] as number);
    });
  });
  const others = law.rivals.map((rival) => logFlow(rival, signal) - y);
  // A rival that has no value here cannot be asked; it is far from its own data then.
  const heard = others.filter(Number.isFinite);
  const form =
    heard.length === 0 ? 0 : Math.sqrt(heard.reduce((sum, value) => sum + value * value, 0) / heard.length);
  const beyond =
    signal > law.range.to
      ? law.growth.above * (y - Math.log(law.flows.to))
      : signal < law.range.from
        ? law.growth.below * (Math.log(law.flows.from) - y)
        : 0;
  // The law rises there, so `beyond` is not negative; the quadratic form may round below zero.
  const parts = {
    parameters: Math.sqrt(Math.max(0, variance)),
    scatter: law.scatter,
    form,
    growth: Math.abs(beyond),
  };
  return {
    flow: Math.exp(y),
    u: Math.hypot(parts.parameters, parts.scatter, parts.form, parts.growth),
    extrapolated: signal > law.range.to || signal < law.range.from,
    parts,
  };
}

/**
 * Signal at which a law gives a flow: the inverse of `evaluateLaw`.
 *
 * @param law  a fitted law
 * @param flow [kg/s], > 0
 * @returns signal [Hz] or [V]
 * @throws `E_DOMAIN` on NaN and on flows that are not above zero, `E_OUTSIDE` when the law reaches no such flow while
 *   it rises
 */
export function invertLaw(law: TransferLaw, flow: number): number {
  requireNumber(flow, "flow", "kg/s", { over: 0 });
  const { curve } = law;
  if (curve.form === "shifted power") return curve.shift + (flow / curve.c) ** (1 / curve.exponent);
  if (curve.form === "king") {
    const square = curve.a + curve.b * flow ** curve.n;
    if (square >= 0) return Math.sqrt(square);
    throw outside(flow, "a signal cannot be the root of a negative number");
  }
  const target = Math.log(flow);
  let low = law.rising.from;
  let high = law.rising.to ?? law.range.to;
  if (!(logFlow(curve, low) <= target && logFlow(curve, high) >= target)) {
    throw outside(
      flow,
      `flows from ${Math.exp(logFlow(curve, low))} to ${Math.exp(logFlow(curve, high))} kg/s`,
    );
  }
  // Halving to the last bit: the law rises on this interval, so nothing faster is worth its risk.
  for (let i = 0; i < 200; i++) {
    const middle = 0.5 * (low + high);
    if (!(middle > low && middle < high)) break;
    if (logFlow(curve, middle) < target) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
}

const outside = (flow: number, accepted: string): BellmouthError =>
  new BellmouthError({
    code: "E_OUTSIDE",
    message: "the law reaches no such flow while it rises",
    found: `${flow} kg/s`,
    accepted,
    at: { path: "flow" },
  });
