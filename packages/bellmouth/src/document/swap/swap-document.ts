import type { Outside, StorageFormat } from "../../curve/index.js";
import type { Housing, SignalKind, Uncertain } from "../../sensor/index.js";
import type {
  Length,
  MassFlow,
  Pressure,
  PressureDifference,
  Resistance,
  RotationalSpeed,
  Temperature,
  TemperatureDifference,
  Voltage,
  Volume,
} from "../../units/index.js";
import type { AirflowTable } from "../sensor-tables.js";

/** A span of signals [Hz] or [V]. */
export interface SignalSpan {
  readonly from: number;
  readonly to: number;
}

/** A sensing element with the table that holds for it in one housing. */
export interface Meter {
  readonly table: AirflowTable;
  /** Relative standard uncertainty of the table's flows [1]. */
  readonly accuracy: number;
  /** Signals the sensor itself can put out, when known. */
  readonly range?: SignalSpan;
  readonly housing: Housing;
}

/** What sits in the new housing. */
export type NewMeter =
  | { readonly source: "same-element"; readonly housing: Housing }
  | {
      readonly source: "donor";
      readonly housing: Housing;
      /** The donor's table with the housing it holds for; the same object as `housing` when the donor's is used whole. */
      readonly donor: Meter;
      /** True when the donor's table already holds for the new housing. */
      readonly asInstalled: boolean;
    };

/** Air that a day brings. */
export interface Day {
  readonly temperature: Temperature;
  readonly pressure: Pressure;
  /** [1]; 0 (dry, the densest air) when the document does not say */
  readonly relativeHumidity: number;
}

/** How finely the ECU measures the signal. */
export type CaptureResolution =
  | { readonly kind: "step" /** [Hz] or [V] */; readonly step: number }
  | { readonly kind: "tick" /** period timer's tick [s] */; readonly tick: number };

export interface Capture extends SignalSpan {
  readonly resolution?: CaptureResolution;
}

/** The breakpoints of a table to be made, SI. */
export type Axis =
  | { readonly kind: "as-present" }
  | { readonly kind: "values"; readonly values: readonly number[] };

export interface EcuAirflow {
  readonly axis: Axis;
  readonly outside: Exclude<Outside, "refuse">;
  readonly capture?: Capture;
  /** Number format of the stored flows [kg/s]; `undefined` when the document says that there is none. */
  readonly storage?: StorageFormat;
  readonly fit: "minimax" | "sample";
  /** Units to write the table in. */
  readonly units: { readonly signal: string; readonly flow: string };
}

/** What the ECU's temperature table is read with, or gives: volts at the divider, converter counts, or ohms. */
export type ElementSignal = "voltage" | "counts" | "resistance";

export interface EcuTemperature {
  readonly direction: "signal-to-temperature" | "temperature-to-signal";
  readonly signal: ElementSignal;
  /** [V], [counts], [ohm] or [K] by `direction` and `signal` */
  readonly axis: readonly number[];
  readonly pullUp: Resistance;
  readonly supply: Voltage;
  /** Converter of counts: full scale of `bits` at `reference`. */
  readonly converter?: { readonly bits: number; readonly reference: Voltage };
  /** Air temperatures over which the table must be right [K]. */
  readonly band: { readonly coldest: number; readonly hottest: number };
  /** Temperatures that the table gives for a disconnected and a shorted element [K]; the band's ends when left out. */
  readonly faultValues?: { readonly open: number; readonly short: number };
  /** Signals outside this span mean a broken wire or a short circuit to the ECU [same as signal]. */
  readonly valid?: SignalSpan;
  readonly outside: Exclude<Outside, "refuse">;
  /** [K], or the signal's unit, by `direction` */
  readonly storage?: StorageFormat;
  readonly fit: "minimax" | "sample";
  readonly units: { readonly axis: string; readonly value: string };
}

/** Resistance of a temperature element over temperature. */
export type TemperatureElement = {
  /** standard uncertainty of the temperature it means [K] */
  readonly accuracy: TemperatureDifference;
} & (
  | {
      readonly kind: "points";
      readonly temperature: readonly number[];
      readonly resistance: readonly number[];
    }
  /** Steinhart-Hart: 1/T = a + b ln R + c (ln R)^3, T in K and R in ohm */
  | { readonly kind: "coefficients"; readonly a: number; readonly b: number; readonly c: number }
  /** R = resistance * exp(beta * (1/T - 1/temperature)) */
  | {
      readonly kind: "beta";
      readonly resistance: Resistance;
      readonly temperature: Temperature;
      readonly beta: TemperatureDifference;
    }
);

/** Engine as far as its air demand goes. */
export interface EngineDemand {
  readonly displacement: Volume;
  readonly strokes: 2 | 4;
  readonly speed: RotationalSpeed;
  readonly volumetricEfficiency: Uncertain;
  /** absolute; the day's pressure when the document does not say (no restriction, no boost) */
  readonly manifoldPressure?: Pressure;
  /** the day's temperature when the document does not say */
  readonly chargeTemperature?: Temperature;
}

/** Something the meter will be asked to measure. */
export type Scenario = { readonly name: string } & (
  | { readonly kind: "peak"; readonly flow: Uncertain<MassFlow> }
  | {
      readonly kind: "log";
      readonly file: string;
      /** [kg/s]; NaN a missing sample */
      readonly flow: readonly number[];
      /** [s] */
      readonly time: readonly number[];
      /** shortest time that a peak must last [s] */
      readonly sustained: number;
      /** relative standard uncertainty that log and new curve share [1] */
      readonly shared: number;
    }
  | { readonly kind: "engine"; readonly engine: EngineDemand; readonly day: Day }
);

export type Idle =
  | { readonly kind: "flow"; readonly flow: Uncertain<MassFlow> }
  | { readonly kind: "engine"; readonly engine: EngineDemand; readonly day: Day };

/** What the present meter costs in pressure. */
export type MeterLoss =
  | { readonly kind: "coefficient" /** on the dynamic head in its open area [1] */; readonly loss: Uncertain }
  | {
      readonly kind: "drop";
      readonly drop: Uncertain<PressureDifference>;
      readonly flow: Uncertain<MassFlow>;
    };

export interface BoreSweep {
  readonly bores: readonly Length[];
  readonly limits: {
    /** most of the usable signal to be used [1] */
    readonly share?: number;
    readonly drop?: PressureDifference;
    /** least signal at idle [Hz] or [V] */
    readonly idleSignal?: number;
  };
}

/** A housing swap, read: all numbers SI, files loaded. */
export interface SwapDocument {
  readonly kind: "swap";
  readonly title: string;
  /** Signal kind of the new meter, which the new table's axis has. */
  readonly signal: SignalKind;
  readonly present: Meter;
  readonly next: NewMeter;
  /** Air that the flows are rescaled at (viscosity) and drops are counted at (density). */
  readonly air: Day;
  readonly airflow: EcuAirflow;
  readonly temperature?: {
    readonly ecu: EcuTemperature;
    readonly present?: TemperatureElement;
    readonly next: TemperatureElement;
  };
  readonly scenarios: readonly Scenario[];
  readonly idle?: Idle;
  readonly loss?: MeterLoss;
  readonly sweep?: BoreSweep;
  readonly safety: {
    /** raise uncertain high-flow cells by this many standard uncertainties; 0 for none */
    readonly richBias: number;
    /** flows from here on count as high [kg/s] */
    readonly highFlowFrom: MassFlow;
  };
}
