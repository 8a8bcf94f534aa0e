import type { TransferCurve } from "bellmouth/sensor";
import type { NarrowBandSpec } from "./narrow-band.js";

/** Spark-ignition engine with a throttle, as a filling-and-emptying model sees it. */
export interface EngineSpec {
  /** Swept volume of all cylinders [m^3]. */
  readonly displacement: number;
  readonly compressionRatio: number;
  /** Volumetric efficiency [1] over engine speed [rev/s], joined smoothly, at full load. */
  readonly volumetricEfficiency: { readonly speed: readonly number[]; readonly value: readonly number[] };
  /** From throttle to inlet valves [m^3]. */
  readonly manifoldVolume: number;
  /** Effective area of the open throttle blade, and of the idle bypass when warm [m^2]. */
  readonly throttleArea: { readonly open: number; readonly idle: number };
  /** Pressure loss from outside to the throttle: dp = k m^2 [Pa s^2/kg^2]. */
  readonly intakeLoss: number;
  /** [rev/s] */
  readonly idleSpeed: number;
  /** [rev/s] */
  readonly topSpeed: number;
  /** Share of the coolant's excess over the intake air that the charge takes up [1]. */
  readonly chargeHeating: number;
}

export interface VehicleSpec {
  /** [kg] */
  readonly mass: number;
  /** Drag coefficient times frontal area [m^2]. */
  readonly dragArea: number;
  /** Rolling resistance coefficient [1]. */
  readonly rolling: number;
  /** Engine revolutions per metre driven [rev/m], first gear first. */
  readonly gears: readonly number[];
}

export interface MeterSpec {
  /** What the meter really does: signal -> mass flow. */
  readonly trueCurve: TransferCurve;
  /** First-order lag of the signal [s]. */
  readonly timeConstant: number;
  /** Standard deviation of the signal's noise, relative to the signal [1]. */
  readonly noise: number;
  /** Smallest step of the signal that the ECU resolves [Hz] or [V]; 0 for none. */
  readonly quantum: number;
}

export interface FuelSpec {
  /** Stoichiometric air-fuel ratio by mass [1]. */
  readonly stoichiometric: number;
  /** Warm wall film: share of the injected fuel that meets the wall [1], and its evaporation time [s]. */
  readonly film: { readonly fraction: number; readonly time: number };
  /** How much of the film's fraction the ECU compensates [1]: 0 none, 1 fully. */
  readonly filmCompensation: number;
  /** The ECU's filling model: its filter's time constant over the manifold's own [1]; 0: it doses by the raw meter. */
  readonly fillingCompensation: number;
}

export interface ExhaustSpec {
  /** Constant part of the transport delay [s]. */
  readonly fixedDelay: number;
  /** Crankshaft revolutions between dosing and exhaust valve opening [1]. */
  readonly revolutions: number;
  /** Mass of gas held between exhaust valve and sensor [kg]: it travels as a plug. */
  readonly gasMass: number;
}

export interface LambdaSensorSpec {
  /** First-order lag [s]. */
  readonly timeConstant: number;
  /** Standard deviations, relative to lambda [1]: fresh at every log row, and slowly varying. */
  readonly whiteNoise: number;
  readonly slowNoise: number;
  /** Correlation time of the slow part [s]. */
  readonly correlationTime: number;
  /** Probability that a logged sample is an outlier [1] and its typical size [1]. */
  readonly outliers: { readonly probability: number; readonly size: number };
  /** Range that the sensor can show [1]. */
  readonly least: number;
  readonly greatest: number;
}

/** Fuel control by lambda feedback. */
export interface ControlSpec {
  /** `switching` steps and ramps by the sign of the error; `linear` is proportional-integral on the error. */
  readonly kind: "switching" | "linear";
  /** Proportional step [1] (switching) or gain [1] (linear). */
  readonly step: number;
  /** Ramp rate [1/s] (switching) or integral gain [1/s] (linear). */
  readonly rate: number;
  /** Largest short and long trim [1]. */
  readonly limit: number;
  /** Time in which the long trim takes over the short one [s]. */
  readonly learningTime: number;
  /** A switching control's sensor that tells rich from lean only; an ideal comparator at the target when left out. */
  readonly narrowBand?: NarrowBandSpec;
  /** What the short trim does while feedback does not act: back to zero (when left out), held, or still integrating in fuel cuts. */
  readonly atRest?: "reset" | "hold" | "wind up";
  /** Upper edges of the load cells of the long trim, metered air [kg/s]; the last cell is open. */
  readonly learningEdges: readonly number[];
}

export interface CarSpec {
  readonly name: string;
  readonly engine: EngineSpec;
  readonly vehicle: VehicleSpec;
  readonly meter: MeterSpec;
  readonly fuel: FuelSpec;
  readonly exhaust: ExhaustSpec;
  readonly lambdaSensor: LambdaSensorSpec;
  readonly control: ControlSpec;
  /** Full-load lambda target [1] over engine speed [rev/s]. */
  readonly fullLoadLambda: { readonly speed: readonly number[]; readonly value: readonly number[] };
}
