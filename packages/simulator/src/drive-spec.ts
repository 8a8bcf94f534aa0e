import type { TransferCurve } from "bellmouth/sensor";
import type { BlendSpec } from "./blended-airflow.js";
import type { CarSpec } from "./car-spec.js";
import type { FuelSagSpec } from "./fuel-sag.js";
import type { LambdaSensorErrorSpec } from "./lambda-sensor-error.js";
import type { MeterErrorSpec } from "./meter-error.js";
import type { PulsationSpec } from "./pulsation.js";
import type { PurgeSpec } from "./purge.js";

/** One piece of a drive cycle. */
export type Segment =
  /** Go to a road speed [m/s] at an acceleration [m/s^2], then hold it [s]. */
  | {
      readonly kind: "speed";
      readonly target: number;
      readonly acceleration: number;
      readonly hold: number;
      readonly gear?: number;
    }
  /** In one gear (0 is first), from one engine speed to another [rev/s] at a throttle opening [1], then lift off [s]. */
  | {
      readonly kind: "pull";
      readonly gear: number;
      readonly from: number;
      readonly to: number;
      readonly throttle: number;
      readonly liftOff: number;
    }
  /** Stand [s]. */
  | { readonly kind: "idle"; readonly seconds: number };

/** What is wrong with the car besides its table; every part is off when left out. */
export interface FaultSpec {
  /** Effective area of an opening behind the meter [m^2]. */
  readonly leakArea?: number;
  /** Delivered over commanded fuel [1]; 0.95 is 5 % too little. */
  readonly injectorGain?: number;
  /** Fuel mass that every engine cycle (two revolutions) gets too much, or lacks [kg]: a dead-time error. */
  readonly injectorOffset?: number;
  /** Fuel pressure over its nominal value [1]; delivered fuel goes with its root. */
  readonly fuelPressure?: number;
  /** Intake-air sensor's error at standstill heat soak [K]; it fades with air flow. */
  readonly heatSoak?: number;
  /** Air that enters the exhaust before the lambda sensor, share of the exhaust at idle [1]; fades with flow. */
  readonly exhaustLeak?: number;
  /** Slow drift of the delivered fuel, as canister purge makes it: relative standard deviation [1], correlation time [s]. */
  readonly fuelDrift?: { readonly size: number; readonly time: number };
  readonly fuelSag?: FuelSagSpec;
  readonly pulsation?: PulsationSpec;
  readonly purge?: PurgeSpec;
  readonly blend?: BlendSpec;
  readonly meterError?: MeterErrorSpec;
  readonly lambdaSensor?: LambdaSensorErrorSpec;
}

export interface LogSpec {
  /** Rows per second [1/s]. */
  readonly rate: number;
  /** Standard deviation of the row interval, relative [1]. */
  readonly jitter: number;
  /** Channels that are polled every n-th row only, the last value repeated between: channel -> n, phase by order. */
  readonly refresh: { readonly [channel in ChannelKey]?: number };
  /** True where the channels of a row are read one after the other over the row's interval; its time stamp is that of the first. */
  readonly inTurn?: boolean;
  /** Pauses of the logger: one about every `every` [s], `length` [s] long, at random; none when left out. */
  readonly gaps?: { readonly every: number; readonly length: number };
  /** Decimals of the printed values in the CSV's unit; channels left out are printed to 6 significant digits. */
  readonly decimals: { readonly [channel in ChannelKey]?: number };
}

export interface DriveSpec {
  readonly car: CarSpec;
  /** The table in the ECU during this drive. */
  readonly table: TransferCurve;
  readonly cycle: readonly Segment[];
  /** Stop after this time [s] at the latest; the cycle is repeated until then. */
  readonly duration: number;
  /** Feedback on, or trims off (short and long trim zero). */
  readonly feedback: boolean;
  /** Long trims at the start [1], one for each load cell; zero when left out. */
  readonly longTrims?: readonly number[];
  readonly barometer: number;
  /** Outside air [K]. */
  readonly ambient: number;
  /** Coolant at the start [K]. */
  readonly startCoolant: number;
  readonly faults: FaultSpec;
  readonly log: LogSpec;
}

/** Channels of a simulated log, all in SI. */
export const channelKeys = [
  "time",
  "signal",
  "airflow",
  "engineSpeed",
  "lambda",
  "lambdaTarget",
  "shortTrim",
  "longTrim",
  "coolant",
  "intakeAir",
  "manifoldPressure",
  "throttle",
  "vehicleSpeed",
  "barometer",
  "battery",
] as const;
export type ChannelKey = (typeof channelKeys)[number];
