import { requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type {
  Power,
  Pressure,
  PressureDifference,
  Temperature,
  TemperatureDifference,
} from "../../units/index.js";
import type { Estimate } from "../estimate.js";
import { interval } from "../interval.js";

/**
 * Indicated power over brake power at full throttle [1]: 1/0.85, as the power-test standards round it. Friction takes the
 * rest and does not follow the air.
 *
 * @source SAE J1349 (mechanical efficiency of 85 %; form and constant from memory)
 */
export const INDICATED_SHARE = 1.18;

/** Charge in the manifold. */
export interface Charge {
  /** absolute [Pa] */
  readonly pressure: Pressure;
  /** [K] */
  readonly temperature: Temperature;
}

/**
 * Ratio [1] of brake power after to before at one speed and mixture: 1.18 (p2/p1) sqrt(T1/T2) - 0.18. Indicated power
 * follows the pressure and the root of the temperature (heating on the way in does the rest), friction stays.
 *
 * @param before manifold charge [Pa, K]
 * @param after  manifold charge [Pa, K]
 * @throws `E_DOMAIN`
 * @source SAE J1349, as `powerCorrectionJ1349`
 * @example
 * const before = { pressure: psia(14.2), temperature: celsius(25) };
 * const after = { pressure: psia(14.35), temperature: celsius(25) };
 * 400 * (powerRatio(before, after) - 1) // ≈ 4.986
 */
export function powerRatio(before: Charge, after: Charge): number {
  const ratio = pressureRatio(before, after);
  return INDICATED_SHARE * ratio * Math.sqrt(before.temperature / after.temperature) - (INDICATED_SHARE - 1);
}

/**
 * Ratio [1] of charge density after to before: (p2/p1)(T1/T2). What airflow at one speed follows.
 *
 * @param before manifold charge [Pa, K]
 * @param after  manifold charge [Pa, K]
 * @throws `E_DOMAIN`
 */
export function chargeDensityRatio(before: Charge, after: Charge): number {
  return (pressureRatio(before, after) * before.temperature) / after.temperature;
}

function pressureRatio(before: Charge, after: Charge): number {
  for (const [name, charge] of [
    ["before", before],
    ["after", after],
  ] as const) {
    // Under 2 kPa or over 1 MPa, and outside 200 to 500 K, a unit has been mistaken.
    requireNumber(charge.pressure, `${name}.pressure`, "Pa", { from: 2000, to: 1e6 });
    requireNumber(charge.temperature, `${name}.temperature`, "K", { from: 200, to: 500 });
  }
  return after.pressure / before.pressure;
}

/** A measured difference: an `Estimate` of a trial fits, or a value with a standard uncertainty that is taken as known. */
export interface MeasuredDifference<T extends number> {
  readonly value: T | number;
  /** standard uncertainty, same unit; null where nothing judges the value: the gain then has no interval */
  readonly u: number | null;
  /** degrees of freedom behind u [1]; known when null or not given */
  readonly degreesOfFreedom?: number | null;
}

/** What a gain is computed from. */
export interface PowerGainInput {
  /** Brake power before [W]. */
  readonly power: Uncertain<Power>;
  /** Manifold pressure before, absolute [Pa]. */
  readonly pressure: Uncertain<Pressure>;
  /** Rise of manifold pressure [Pa]: a trial measures it better than either pressure. */
  readonly rise: MeasuredDifference<PressureDifference>;
  /** Charge temperature before [K]. */
  readonly temperature: Uncertain<Temperature>;
  /** Rise of charge temperature [K]; below zero where the new inlet breathes colder air. */
  readonly temperatureRise: MeasuredDifference<TemperatureDifference>;
  /** Probability that the intervals hold the truth [1]; 0.95 when not given. */
  readonly confidence?: number;
}

export interface PowerGain {
  readonly kind: "power gain";
  /** Brake power gained by the 1.18/0.18 form [W]. */
  readonly gain: Estimate;
  /** The same if power followed density alone [W]: the plain ratio, for comparison. */
  readonly byDensity: Estimate;
  /** Brake power after over before [1]. */
  readonly ratio: number;
  /** Charge density after over before [1]. */
  readonly densityRatio: number;
  /** Differences that nothing judges: while there is one, the gain's interval has no ends. */
  readonly unjudged: readonly ("rise" | "temperatureRise")[];
  /** Parts of the gain [W] that pressure and temperature bring, each with the other held. */
  readonly parts: { readonly pressure: number; readonly temperature: number };
}

/**
 * Power gained from a rise of manifold pressure and a change of charge temperature, with first-order intervals.
 *
 * The form assumes the same speed, mixture and timing, and an engine whose breathing beyond the manifold has not changed.
 *
 * @param input power [W], pressure [Pa], rise [Pa], temperature [K], temperature rise [K], each with its uncertainty
 * @throws `E_DOMAIN`
 * @source SAE J1349 form (see `powerRatio`); propagation after JCGM 100:2008 (GUM), 5.1.2 and G.4.1
 */
export function powerGain(input: PowerGainInput): PowerGain {
  const confidence = requireNumber(input.confidence ?? 0.95, "confidence", "1", { from: 0.5, under: 1 });
  const power = requireNumber(input.power.value, "power.value", "W", { over: 0 });
  const p1 = input.pressure.value;
  const t1 = input.temperature.value;
  const before = { pressure: p1, temperature: t1 };
  const after = {
    pressure: (p1 + input.rise.value) as Pressure,
    temperature: (t1 + input.temperatureRise.value) as Temperature,
  };
  const ratio = powerRatio(before, after);
  const densityRatio = chargeDensityRatio(before, after);
  for (const [name, one] of Object.entries({
    power: input.power,
    pressure: input.pressure,
    rise: input.rise,
    temperature: input.temperature,
    temperatureRise: input.temperatureRise,
  })) {
    if (one.u !== null) requireNumber(one.u, `${name}.u`, "SI", { from: 0 });
  }
  const t2 = after.temperature;
  const pressures = after.pressure / p1;
  const root = Math.sqrt(t1 / t2);
  const estimate = (value: number, slopes: Slopes): Estimate =>
    combineParts(value, input, slopes, confidence);
  const indicated = INDICATED_SHARE * power;
  return {
    kind: "power gain",
    gain: estimate(power * (ratio - 1), {
      power: ratio - 1,
      rise: (indicated * root) / p1,
      pressure: (-indicated * root * input.rise.value) / (p1 * p1),
      temperatureRise: (-indicated * pressures * root) / (2 * t2),
      temperature: ((indicated * pressures * root) / 2) * (1 / t1 - 1 / t2),
    }),
    byDensity: estimate(power * (densityRatio - 1), {
      power: densityRatio - 1,
      rise: (power * t1) / (t2 * p1),
      pressure: (-power * t1 * input.rise.value) / (t2 * p1 * p1),
      temperatureRise: (-power * pressures * t1) / (t2 * t2),
      temperature: power * pressures * (1 / t2 - t1 / (t2 * t2)),
    }),
    ratio,
    densityRatio,
    unjudged: (["rise", "temperatureRise"] as const).filter((name) => input[name].u === null),
    parts: {
      pressure: power * (powerRatio(before, { ...after, temperature: t1 }) - 1),
      temperature: power * (powerRatio(before, { ...after, pressure: p1 }) - 1),
    },
  };
}

type Slopes = Record<"power" | "pressure" | "rise" | "temperature" | "temperatureRise", number>;

/** Quadrature of the parts, with Welch-Satterthwaite's degrees of freedom for those that were estimated. */
function combineParts(value: number, input: PowerGainInput, slopes: Slopes, confidence: number): Estimate {
  let variance = 0;
  let doubt = 0;
  let open = false;
  for (const name of Object.keys(slopes) as (keyof Slopes)[]) {
    const part = input[name] as MeasuredDifference<number>;
    if (part.u === null) {
      open = true;
      continue;
    }
    const own = (slopes[name] * part.u) ** 2;
    variance += own;
    if (part.degreesOfFreedom !== undefined && part.degreesOfFreedom !== null) {
      doubt += own ** 2 / part.degreesOfFreedom;
    }
  }
  const whole = interval(value, Math.sqrt(variance), doubt > 0 ? variance ** 2 / doubt : null, confidence);
  return open ? { ...whole, from: null, to: null } : whole;
}
