import { BellmouthError, requireNumber } from "../../fault/index.js";
import { type PlatinumLaw, platinumResistance, platinumSlope, platinumTemperature } from "./platinum.js";

/**
 * Law of a temperature element: resistance [ohm] against temperature [K].
 *
 * steinhart-hart: 1/T = a + b L + c L^3 with L = ln(R / 1 ohm) · beta: 1/T = 1/t0 + ln(R/r0) / beta · four-term:
 * 1/T = a + b L + c L^2 + d L^3 with L = ln(R / reference) · platinum: Callendar and Van Dusen.
 *
 * @source J. S. Steinhart, S. R. Hart, "Calibration curves for thermistors", Deep-Sea Research 15 (1968) 497;
 *   IEC 60539-1 (B value)
 */
export type ElementLaw =
  | { readonly law: "steinhart-hart"; readonly a: number; readonly b: number; readonly c: number }
  | {
      readonly law: "beta";
      /** [K] */
      readonly beta: number;
      /** resistance at t0 [ohm] */
      readonly r0: number;
      /** [K] */
      readonly t0: number;
    }
  | {
      readonly law: "four-term";
      readonly a: number;
      readonly b: number;
      readonly c: number;
      readonly d: number;
      /** resistance that L is counted from [ohm] */
      readonly reference: number;
    }
  | PlatinumLaw;

/** 1/T as a cubic of L = ln(R / reference). */
interface Cubic {
  readonly k: readonly [number, number, number, number];
  readonly reference: number;
}

function cubicOf(law: Exclude<ElementLaw, PlatinumLaw>): Cubic {
  switch (law.law) {
    case "steinhart-hart":
      return { k: [law.a, law.b, 0, law.c], reference: 1 };
    case "beta":
      return { k: [1 / law.t0, 1 / law.beta, 0, 0], reference: law.r0 };
    case "four-term":
      return { k: [law.a, law.b, law.c, law.d], reference: law.reference };
  }
}

const at = ([a, b, c, d]: Cubic["k"], l: number): number => a + l * (b + l * (c + l * d));
const slopeAt = ([, b, c, d]: Cubic["k"], l: number): number => b + l * (2 * c + l * 3 * d);

/** No element's resistance is further than this from the law's reference, in ln R. */
const REACH = 50;

/** Interval of L over which 1/T rises (temperature falls as resistance rises); null when there is none. */
function risingInterval({ k: [, b, c, d], reference }: Cubic): readonly [number, number] | null {
  const limits: [number, number] = [-REACH, REACH];
  const turns: number[] = [];
  if (d === 0) {
    if (c !== 0) turns.push(-b / (2 * c));
  } else {
    const inside = c * c - 3 * b * d;
    if (inside > 0) {
      const root = Math.sqrt(inside);
      turns.push((-c - root) / (3 * d), (-c + root) / (3 * d));
    }
  }
  turns.sort((p, q) => p - q);
  const ends = [limits[0], ...turns.filter((turn) => Math.abs(turn) < REACH), limits[1]];
  const rising = ends
    .slice(1)
    .map((end, i): [number, number] => [ends[i] as number, end])
    .filter(([from, to]) => slopeAt([0, b, c, d], (from + to) / 2) > 0);
  // With L counted from 1 ohm every element lies well to the right; with a reference of its own, around zero.
  const centre = reference === 1 ? Math.log(3000) : 0;
  return rising.find(([from, to]) => from <= centre && centre <= to) ?? rising[rising.length - 1] ?? null;
}

function requireRising(cubic: Cubic): readonly [number, number] {
  const interval = risingInterval(cubic);
  if (interval !== null) return interval;
  throw new BellmouthError({
    code: "E_NOT_INVERTIBLE",
    message: "with these coefficients resistance never falls as temperature rises",
    found: cubic.k.join(", "),
    accepted: "coefficients of a negative-temperature-coefficient element",
    at: { path: "law" },
  });
}

/** An element's law made ready for many readings: the same numbers as the functions named. */
export interface ElementReader {
  /** as `elementTemperature` */
  readonly temperature: (resistance: number) => number;
  /** as `elementResistance` */
  readonly resistance: (temperature: number) => number;
  /** as `elementSlope` */
  readonly slope: (resistance: number) => number;
}

/**
 * Makes an element's law ready for many readings.
 *
 * @throws `E_NOT_INVERTIBLE` when the law's resistance never falls as temperature rises
 */
export function prepareElement(law: ElementLaw): ElementReader {
  if (law.law === "platinum") {
    return {
      temperature: (resistance) => platinumTemperature(law, resistance),
      resistance: (temperature) => platinumResistance(law, temperature),
      slope: (resistance) => platinumSlope(law, platinumTemperature(law, resistance)),
    };
  }
  const cubic = cubicOf(law);
  const rising = requireRising(cubic);
  const temperature = (resistance: number): number => cubicTemperature(law.law, cubic, rising, resistance);
  return {
    temperature,
    resistance: (wanted) => cubicResistance(law.law, cubic, rising, wanted),
    slope: (resistance) =>
      -(temperature(resistance) ** 2) * slopeAt(cubic.k, Math.log(resistance / cubic.reference)),
  };
}

/**
 * Temperature of an element [K].
 *
 * @param law        law of the element
 * @param resistance [ohm], > 0
 * @throws `E_DOMAIN` on NaN, on resistances that are not above zero, and where the law turns or gives no temperature;
 *   `E_NOT_INVERTIBLE` as `prepareElement`
 * @example
 * const law: ElementLaw = { law: "steinhart-hart", a: 1.4051e-3, b: 2.369e-4, c: 1.019e-7 };
 * elementTemperature(law, 2221) - 273.15 // ≈ 31.988
 */
export const elementTemperature = (law: ElementLaw, resistance: number): number =>
  prepareElement(law).temperature(resistance);

/**
 * Resistance of an element at a temperature [ohm]: the closed form where there is one, then Newton's method to the
 * last digit, held inside the interval where the law falls.
 *
 * @param law         law of the element
 * @param temperature [K], > 0
 * @throws `E_DOMAIN` on NaN and where the law does not reach the temperature; `E_NOT_INVERTIBLE` as `prepareElement`
 * @example
 * elementResistance({ law: "beta", beta: 3950, r0: 10000, t0: 298.15 }, 273.15) // ≈ 33620.6037
 */
export const elementResistance = (law: ElementLaw, temperature: number): number =>
  prepareElement(law).resistance(temperature);

/**
 * How much an element's temperature changes with its resistance, dT / d ln R [K]: 1 % of resistance is a hundredth of
 * this. Negative for a thermistor, positive for platinum.
 *
 * @param resistance [ohm], > 0
 * @throws as `elementTemperature`
 */
export const elementSlope = (law: ElementLaw, resistance: number): number =>
  prepareElement(law).slope(resistance);

function cubicTemperature(
  name: ElementLaw["law"],
  cubic: Cubic,
  [from, to]: readonly [number, number],
  resistance: number,
): number {
  requireNumber(resistance, "resistance", "ohm", { over: 0 });
  const l = Math.log(resistance / cubic.reference);
  const inverse = at(cubic.k, l);
  if (l >= from && l <= to && inverse > 0) return 1 / inverse;
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: `the ${name} law does not hold at this resistance`,
    found: `${resistance} ohm`,
    accepted: "a resistance where the law's temperature is above absolute zero and falls as resistance rises",
    at: { path: "resistance" },
  });
}

function cubicResistance(
  name: ElementLaw["law"],
  cubic: Cubic,
  rising: readonly [number, number],
  temperature: number,
): number {
  requireNumber(temperature, "temperature", "K", { over: 0 });
  let [low, high] = rising;
  const wanted = 1 / temperature;
  if (!(at(cubic.k, low) <= wanted && at(cubic.k, high) >= wanted)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: `the ${name} law does not reach this temperature`,
      found: `${temperature} K`,
      accepted: `${1 / at(cubic.k, high)} to ${at(cubic.k, low) > 0 ? 1 / at(cubic.k, low) : "any higher"} K`,
      at: { path: "temperature" },
    });
  }
  let l = closedForm(cubic.k, wanted);
  if (!(l > low && l < high)) l = 0.5 * (low + high);
  for (let i = 0; i < 200; i++) {
    const off = at(cubic.k, l) - wanted;
    if (off > 0) high = l;
    else low = l;
    let next = l - off / slopeAt(cubic.k, l);
    // A step out of the bracket is replaced by halving it, so the search cannot run away.
    if (!(next >= low && next <= high)) next = 0.5 * (low + high);
    if (Math.abs(next - l) <= 4e-16 * Math.max(1, Math.abs(l))) break;
    l = next;
  }
  return cubic.reference * Math.exp(l);
}

/** Root of a depressed cubic (no square term), or of the straight line; NaN where neither applies. */
function closedForm([a, b, c, d]: Cubic["k"], wanted: number): number {
  if (d === 0 || c !== 0) return (wanted - a) / b;
  const x = (a - wanted) / d;
  const y = Math.sqrt((b / (3 * d)) ** 3 + (x * x) / 4);
  return Math.cbrt(y - x / 2) - Math.cbrt(y + x / 2);
}
