import { BellmouthError, requireNumber } from "../../fault/index.js";

/** Platinum element by Callendar and Van Dusen: R = r0 (1 + a t + b t^2 + c (t - 100) t^3), t in °C, c below 0 °C only. */
export interface PlatinumLaw {
  readonly law: "platinum";
  /** resistance at 0 °C [ohm]: 100 for a Pt100 */
  readonly r0: number;
  /** [1/K] */
  readonly a: number;
  /** [1/K^2] */
  readonly b: number;
  /** [1/K^4] */
  readonly c: number;
}

/**
 * Coefficients of industrial platinum elements.
 *
 * @source IEC 60751:2008 (also ASTM E1137): A = 3.9083e-3, B = -5.775e-7, C = -4.183e-12
 */
export const IEC_60751 = { a: 3.9083e-3, b: -5.775e-7, c: -4.183e-12 } as const;

const ZERO = 273.15;
/** Range of the standard [°C]. */
const RANGE = { from: -200, to: 850 } as const;

/** R(t) over r0, and its slope [1/K], t in °C. */
function ratio({ a, b, c }: PlatinumLaw, t: number): { readonly value: number; readonly slope: number } {
  const cold = t < 0 ? c : 0;
  return {
    value: 1 + t * (a + t * (b + t * cold * (t - 100))),
    slope: a + t * (2 * b + t * cold * (4 * t - 300)),
  };
}

/** Resistance [ohm] of a platinum element at a temperature [K]; 73.15 to 1123.15 K. */
export function platinumResistance(law: PlatinumLaw, temperature: number): number {
  requireNumber(temperature, "temperature", "K", { from: RANGE.from + ZERO, to: RANGE.to + ZERO });
  return law.r0 * ratio(law, temperature - ZERO).value;
}

/** dT / d ln R [K] of a platinum element at a temperature [K]. */
export function platinumSlope(law: PlatinumLaw, temperature: number): number {
  const { value, slope } = ratio(law, temperature - ZERO);
  return value / slope;
}

/** Temperature [K] of a platinum element at a resistance [ohm], by Newton's method from the straight line. */
export function platinumTemperature(law: PlatinumLaw, resistance: number): number {
  requireNumber(resistance, "resistance", "ohm", { over: 0 });
  const wanted = resistance / law.r0;
  if (!(wanted >= ratio(law, RANGE.from).value && wanted <= ratio(law, RANGE.to).value)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the element's law holds from -200 to 850 °C",
      found: `${resistance} ohm`,
      accepted: `${law.r0 * ratio(law, RANGE.from).value} to ${law.r0 * ratio(law, RANGE.to).value} ohm`,
      at: { path: "resistance" },
    });
  }
  let t = (wanted - 1) / law.a;
  for (let i = 0; i < 50; i++) {
    const { value, slope } = ratio(law, t);
    const step = (value - wanted) / slope;
    t -= step;
    if (Math.abs(step) < 1e-12 * (Math.abs(t) + 1)) break;
  }
  return t + ZERO;
}
