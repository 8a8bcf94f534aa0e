import { type ChebyshevSeries, chebyshevRow, evaluateChebyshev } from "../../fit/chebyshev.js";

/**
 * Shapes that a hot-wire or hot-film meter's transfer curve takes. Which one a table follows depends on the meter's
 * own electronics, so the data decide (`chooseTransferLaw`).
 *
 * shifted power: m = c (s - shift)^exponent · king: m = ((s^2 - a) / b)^(1/n) · log polynomial and log-log
 * polynomial: ln m is a polynomial of s, or of ln s.
 *
 * @source L. V. King, "On the convection of heat from small cylinders in a stream of fluid", Phil. Trans. R. Soc. A
 *   214 (1914) 373: the heat, and so the bridge voltage squared, rises as a + b m^n, with n = 1/2 in his theory
 */
export type LawCurve =
  | {
      readonly form: "shifted power";
      /** [kg/s per signal unit to the power `exponent`] */
      readonly c: number;
      /** signal at which the law's flow is zero [Hz] or [V] */
      readonly shift: number;
      /** [1] */
      readonly exponent: number;
    }
  | {
      readonly form: "king";
      /** signal squared at no flow [V^2] or [Hz^2] */
      readonly a: number;
      /** [V^2 or Hz^2 per (kg/s)^n] */
      readonly b: number;
      /** [1] */
      readonly n: number;
    }
  | {
      readonly form: "log polynomial" | "log-log polynomial";
      /** ln(flow in kg/s) over the signal, or over ln(signal) */
      readonly series: ChebyshevSeries;
    };

export type LawForm = LawCurve["form"];

/** Names of a law's parameters, in the order of its covariance. */
export function parameterNames(curve: LawCurve): readonly string[] {
  switch (curve.form) {
    case "shifted power":
      return ["c", "shift", "exponent"];
    case "king":
      return ["a", "b", "n"];
    default:
      return curve.series.coefficients.map((_, k) => `T${k}`);
  }
}

/**
 * ln of a law's flow. Minus infinity where the law's flow is zero, NaN where it has none.
 *
 * @param curve the law
 * @param signal [Hz] or [V]
 * @returns ln(flow in kg/s) [1]
 */
export function logFlow(curve: LawCurve, signal: number): number {
  switch (curve.form) {
    case "shifted power":
      return Math.log(curve.c) + curve.exponent * Math.log(signal - curve.shift);
    case "king":
      return (Math.log(signal * signal - curve.a) - Math.log(curve.b)) / curve.n;
    case "log polynomial":
      return evaluateChebyshev(curve.series, signal);
    case "log-log polynomial":
      return evaluateChebyshev(curve.series, Math.log(signal));
  }
}

/** Derivatives of ln(flow) by the parameters, in the order of `parameterNames`; signal inside the law's domain. */
export function logFlowGradient(curve: LawCurve, signal: number): number[] {
  switch (curve.form) {
    case "shifted power": {
      const x = signal - curve.shift;
      return [1 / curve.c, -curve.exponent / x, Math.log(x)];
    }
    case "king": {
      const x = signal * signal - curve.a;
      return [
        -1 / (curve.n * x),
        -1 / (curve.n * curve.b),
        -(Math.log(x) - Math.log(curve.b)) / (curve.n * curve.n),
      ];
    }
    default: {
      const { from, to, coefficients } = curve.series;
      const x = curve.form === "log polynomial" ? signal : Math.log(signal);
      return chebyshevRow(x, from, to, coefficients.length - 1);
    }
  }
}
