import { requireNumber } from "../fault/index.js";
import type { Pressure, Temperature } from "../units/index.js";

/** Test-room air as the power-test standards want it. */
export interface TestRoomAir {
  /** Pressure less vapour pressure [Pa]: `dryPressure(state)`. */
  readonly dryPressure: Pressure;
  /** Of the air the engine draws [K]. */
  readonly temperature: Temperature;
}

/** Reference dry pressure of SAE J1349 and ISO 1585 [Pa]. */
export const REFERENCE_DRY_PRESSURE_PA = 99_000;
/** Reference temperature of SAE J1349 and ISO 1585 [K]: 25 °C, which both write as 298. */
export const REFERENCE_TEMPERATURE_K = 298;

function ratios(air: TestRoomAir): readonly [pressure: number, temperature: number] {
  const p = requireNumber(air.dryPressure, "air.dryPressure", "Pa", { from: 50_000, to: 120_000 });
  const T = requireNumber(air.temperature, "air.temperature", "K", { from: 243.15, to: 333.15 });
  // The standards write (t + 273) / 298; 25 °C must come out as exactly 1.
  return [REFERENCE_DRY_PRESSURE_PA / p, (T - 0.15) / REFERENCE_TEMPERATURE_K];
}

/**
 * Factor [1] that brings the measured brake power of a naturally aspirated spark-ignition engine at full throttle
 * to reference air: `1.18 (99 kPa / p) sqrt(T / 298) - 0.18`. Indicated power follows the air; the 0.18 stands for
 * friction (mechanical efficiency 0.85), which does not.
 *
 * The standard allows it from 15 to 35 °C, 90 to 105 kPa and 0.93 to 1.07: {@link isInsideJ1349} says whether it does.
 *
 * @throws E_DOMAIN outside 50 to 120 kPa or -30 to 60 °C, or NaN
 * @source SAE J1349 (form and constants from memory, held against ISO 1585 within 0.3 % inside the range).
 * @example powerCorrectionJ1349({ dryPressure: kilopascals(95), temperature: celsius(30) }) // ≈ 1.059957
 */
export function powerCorrectionJ1349(air: TestRoomAir): number {
  const [pressure, temperature] = ratios(air);
  return 1.18 * pressure * Math.sqrt(temperature) - 0.18;
}

/** True when the standard allows {@link powerCorrectionJ1349} for this air. Same argument and errors. */
export function isInsideJ1349(air: TestRoomAir): boolean {
  const factor = powerCorrectionJ1349(air);
  const t = air.temperature - 273.15;
  return (
    t >= 15 &&
    t <= 35 &&
    air.dryPressure >= 90_000 &&
    air.dryPressure <= 105_000 &&
    factor >= 0.93 &&
    factor <= 1.07
  );
}

/**
 * The same factor [1] for ISO 1585: `(99 kPa / p)^1.2 (T / 298)^0.6`, spark ignition, naturally aspirated or boosted.
 *
 * @throws E_DOMAIN as {@link powerCorrectionJ1349}
 * @source ISO 1585:1992; UN/ECE R85 (constants from memory, held against SAE J1349).
 * @example powerCorrectionIso1585({ dryPressure: kilopascals(95), temperature: celsius(30) }) // ≈ 1.061279
 */
export function powerCorrectionIso1585(air: TestRoomAir): number {
  const [pressure, temperature] = ratios(air);
  return pressure ** 1.2 * temperature ** 0.6;
}

/**
 * Atmospheric factor fa [1] of ISO 1585 for diesel engines.
 *
 * @param kind "naturallyAspirated" (`(99/p) (T/298)^0.7`) or "turbocharged" (`(99/p)^0.7 (T/298)^1.5`)
 * @throws E_DOMAIN as {@link powerCorrectionJ1349}
 * @source ISO 1585:1992 (constants from memory).
 * @example dieselAtmosphericFactor({ dryPressure: kilopascals(95), temperature: celsius(30) }, "turbocharged") // ≈ 1.055304
 */
export function dieselAtmosphericFactor(
  air: TestRoomAir,
  kind: "naturallyAspirated" | "turbocharged",
): number {
  const [pressure, temperature] = ratios(air);
  return kind === "turbocharged" ? pressure ** 0.7 * temperature ** 1.5 : pressure * temperature ** 0.7;
}
