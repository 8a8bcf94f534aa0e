import { BellmouthError, requireNumber } from "../../fault/index.js";
import { linearLeastSquares, studentTQuantile } from "../../fit/index.js";
import { elementTemperature } from "./element-law.js";
import type { ElementPoint, ElementResidual, ThermistorFit } from "./thermistor-fit.js";

export type ThermistorForm = "steinhart-hart" | "beta" | "four-term";

export interface FitThermistorOptions {
  /** Form of the law; Steinhart-Hart for three or more points and Beta for two when left out. */
  readonly form?: ThermistorForm;
  /** `all` points, or `without outliers`: points found to be outliers are taken out, worst first, and reported. */
  readonly use?: "all" | "without outliers";
}

const POWERS: Readonly<Record<ThermistorForm, readonly number[]>> = {
  "steinhart-hart": [0, 1, 3],
  beta: [0, 1],
  "four-term": [0, 1, 2, 3],
};

/** Temperature that a Beta law is anchored at [K]: 25 °C, as makers quote it. */
const ANCHOR = 298.15;

/**
 * Fits an element's law: linear least squares of 1/T on powers of ln R, by QR, weighted so that residuals count in
 * kelvins.
 *
 * @param points resistances [ohm] and temperatures [K], in any order
 * @throws `E_TOO_LITTLE_DATA` with fewer points than coefficients, `E_DOMAIN` on NaN and numbers that are not above
 *   zero, `E_SINGULAR` when resistance does not fall with temperature or too few points differ
 * @source J. S. Steinhart, S. R. Hart, Deep-Sea Research 15 (1968) 497
 */
export function fitThermistor(
  points: readonly ElementPoint[],
  options: FitThermistorOptions = {},
): ThermistorFit {
  const form = options.form ?? (points.length >= 3 ? "steinhart-hart" : "beta");
  points.forEach((point, i) => {
    requireNumber(point.resistance, `points[${i}].resistance`, "ohm", { over: 0 });
    requireNumber(point.temperature, `points[${i}].temperature`, "K", { over: 0 });
  });
  const size = POWERS[form].length;
  if (points.length < size) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: `too few points for the ${form} law`,
      found: `${points.length} points`,
      accepted: `${size} or more`,
      at: { path: "points" },
    });
  }
  let kept = points.map((_, i) => i);
  let fit = fitOnce(points, kept, form);
  while (options.use === "without outliers" && kept.length > size + 2) {
    const worst = fit.residuals
      .map((residual, i) => ({ i, residual }))
      .filter(({ i, residual }) => kept.includes(i) && residual.outlier)
      .sort((p, q) => q.residual.score - p.residual.score)[0];
    if (worst === undefined) break;
    kept = kept.filter((i) => i !== worst.i);
    fit = fitOnce(points, kept, form);
  }
  return fit;
}

function fitOnce(
  points: readonly ElementPoint[],
  kept: readonly number[],
  form: ThermistorForm,
): ThermistorFit {
  const powers = POWERS[form];
  const used = kept.map((i) => points[i] as ElementPoint);
  // The four-term form counts L from the middle of the points, which keeps its powers apart.
  const reference =
    form === "four-term"
      ? Math.exp(used.reduce((sum, point) => sum + Math.log(point.resistance), 0) / used.length)
      : 1;
  const row = (point: ElementPoint): number[] =>
    powers.map((k) => Math.log(point.resistance / reference) ** k);
  const linear = linearLeastSquares(
    used.map(row),
    used.map((point) => 1 / point.temperature),
    // dT = T^2 d(1/T): this weight turns residuals of 1/T into kelvins.
    { weights: used.map((point) => point.temperature ** 4) },
  );
  const law = lawOf(form, linear.parameters, reference);
  const { degreesOfFreedom, sumOfSquares } = linear;
  const size = powers.length;
  const limit =
    degreesOfFreedom > 1
      ? studentTQuantile(1 - 0.005 / points.length, degreesOfFreedom - 1)
      : Number.POSITIVE_INFINITY;
  const residuals = points.map((point, i): ElementResidual => {
    const kelvin = point.temperature - temperatureBy(law, point.resistance);
    const position = kept.indexOf(i);
    const leverage = position < 0 ? 0 : Math.min(linear.leverage[position] as number, 1 - 1e-12);
    const w = kelvin * kelvin;
    // A point left out of the fit is judged by the others' scatter; one inside it, by the scatter without it.
    const rest =
      position < 0
        ? sumOfSquares / degreesOfFreedom
        : degreesOfFreedom > 1
          ? (sumOfSquares - w / (1 - leverage)) / (degreesOfFreedom - 1)
          : 0;
    const score = rest > 0 ? Math.abs(kelvin) / Math.sqrt(rest * (1 - leverage)) : 0;
    return { ...point, kelvin, score, outlier: score > limit };
  });
  const inside = kept.map((i) => (residuals[i] as ElementResidual).kelvin);
  const square = inside.reduce((sum, value) => sum + value * value, 0);
  const temperatures = used.map((point) => point.temperature);
  return {
    kind: "thermistor fit",
    law,
    covariance: linear.covariance,
    powers,
    reference,
    residuals,
    rms: Math.sqrt(square / used.length),
    worst: Math.max(...inside.map(Math.abs)),
    sd: degreesOfFreedom > 0 ? Math.sqrt(square / degreesOfFreedom) : null,
    n: used.length,
    degreesOfFreedom: used.length - size,
    range: { from: Math.min(...temperatures), to: Math.max(...temperatures) },
  };
}

function lawOf(form: ThermistorForm, k: readonly number[], reference: number): ThermistorFit["law"] {
  const [a, b, c, d] = k as [number, number, number, number];
  switch (form) {
    case "steinhart-hart":
      return { law: form, a, b, c };
    case "four-term":
      return { law: form, a, b, c, d, reference };
    case "beta":
      if (!(b > 0)) throw notFalling(`slope ${b} of 1/T over ln R`);
      return { law: form, beta: 1 / b, r0: Math.exp((1 / ANCHOR - a) / b), t0: ANCHOR };
  }
}

function temperatureBy(law: ThermistorFit["law"], resistance: number): number {
  try {
    return elementTemperature(law, resistance);
  } catch {
    throw notFalling(`no temperature at ${resistance} ohm by the fitted law`);
  }
}

const notFalling = (found: string): BellmouthError =>
  new BellmouthError({
    code: "E_SINGULAR",
    message: "resistance does not fall with temperature over these points",
    found,
    accepted: "points of a negative-temperature-coefficient element, over more of its range",
    at: { path: "points" },
  });
