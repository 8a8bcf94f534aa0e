import type { TrialOptions, TrialQuantity, TrialRun } from "../../intake/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type { Power, RotationalSpeed, Temperature } from "../../units/index.js";
import type { LogReading } from "../log-columns.js";

/** A back-to-back trial, read: all numbers SI, logs loaded and cut to their full-throttle rows. */
export interface TrialDocument {
  readonly kind: "trial";
  readonly title: string;
  readonly runs: readonly TrialRun[];
  /** What is compared, one trial each. */
  readonly compare: readonly { readonly quantity: TrialQuantity; readonly options: TrialOptions }[];
  /** What a rise of pressure is worth; nothing is reckoned without it. */
  readonly worth: TrialWorth | null;
  readonly units: { readonly pressure: string; readonly power: string };
  /** How each run's log was read. */
  readonly logs: readonly LogReading[];
}

export interface TrialWorth {
  readonly power: Uncertain<Power>;
  /** at which `power` was found [rev/s] */
  readonly speed: RotationalSpeed;
  readonly chargeTemperature: Uncertain<Temperature>;
}
