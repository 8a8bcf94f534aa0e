import {
  dryPressure,
  isInsideJ1349,
  type MoistAir,
  powerCorrectionIso1585,
  powerCorrectionJ1349,
} from "../../air/index.js";
import { requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import { type Power, watts } from "../../units/index.js";

/** Power-test standards that bring a measured power to reference air. */
export type PowerStandard = "SAE J1349" | "ISO 1585";

/** Test-room air with what is known of its error. */
export interface MeasuredAir {
  readonly state: MoistAir;
  /** standard uncertainty of the dry pressure [Pa] */
  readonly uPressure: number;
  /** standard uncertainty of the temperature [K] */
  readonly uTemperature: number;
}

export interface CorrectedPower {
  readonly standard: PowerStandard;
  /** factor on the measured power, with its standard uncertainty [1] */
  readonly factor: Uncertain;
  /** [W] */
  readonly power: Uncertain<Power>;
  /** Whether the standard allows the correction for this air: outside, the figure is not one of the standard's. */
  readonly allowed: boolean;
}

/** Corrections that the standards still allow [1] (from memory for ISO 1585). */
const ALLOWED = { from: 0.93, to: 1.07 } as const;

/**
 * Measured brake power of a naturally aspirated spark-ignition engine at full throttle, brought to reference air.
 *
 * @param power measured [W]
 * @param air   air that the engine drew, uncertainties [Pa] and [K]
 * @throws `E_DOMAIN`
 * @source SAE J1349; ISO 1585:1992 (constants from memory, held against each other); see `powerCorrectionJ1349`
 */
export function correctedPower(
  power: Uncertain<Power>,
  air: MeasuredAir,
  standard: PowerStandard,
): CorrectedPower {
  requireNumber(power.value, "power.value", "W", { over: 0 });
  requireNumber(power.u, "power.u", "W", { from: 0 });
  requireNumber(air.uPressure, "air.uPressure", "Pa", { from: 0 });
  requireNumber(air.uTemperature, "air.uTemperature", "K", { from: 0 });
  const room = { dryPressure: dryPressure(air.state), temperature: air.state.temperature };
  const j1349 = standard === "SAE J1349";
  const value = j1349 ? powerCorrectionJ1349(room) : powerCorrectionIso1585(room);
  // Both forms are products of powers of pressure and temperature, J1349 after taking the 0.18 off.
  const product = j1349 ? value + 0.18 : value;
  const u =
    product *
    Math.hypot(
      ((j1349 ? 1 : 1.2) * air.uPressure) / room.dryPressure,
      ((j1349 ? 0.5 : 0.6) * air.uTemperature) / room.temperature,
    );
  return {
    standard,
    factor: { value, u },
    power: {
      value: watts(power.value * value),
      u: watts(Math.hypot(value * power.u, power.value * u)),
    },
    allowed: j1349 ? isInsideJ1349(room) : value >= ALLOWED.from && value <= ALLOWED.to,
  };
}
