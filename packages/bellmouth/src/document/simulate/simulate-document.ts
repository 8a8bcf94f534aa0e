import type { Frequency, Pressure, Temperature, Time } from "../../units/index.js";
import type { AirflowTable } from "../sensor-tables.js";
import type { SimulatedFaults } from "./simulate-faults.js";
import type { SimulatedFeedback } from "./simulate-feedback.js";

/** Kinds of road of a simulated drive. */
export const SIMULATED_ROADS = ["idle", "town", "pulls", "motorway", "traffic"] as const;
export type SimulatedRoad = (typeof SIMULATED_ROADS)[number];

/** A drive of an invented car, read: all numbers SI, files loaded. */
export interface SimulateDocument {
  readonly kind: "simulate";
  readonly title: string;
  /** Name of an invented car; which there are is known to whoever simulates. */
  readonly car: string;
  /** Which of the car's two meters: the one before the swap, whose table is right, or the new one. */
  readonly meter: "present" | "new";
  /** All chance of the drive comes from here. */
  readonly seed: number;
  readonly duration: Time;
  /** Driven in this order, and again until the time is over. */
  readonly roads: readonly SimulatedRoad[];
  /** Trims by lambda feedback, or trims off. */
  readonly feedback: boolean;
  /** Table in the ECU during the drive. */
  readonly table:
    | { readonly kind: "file"; readonly table: AirflowTable }
    /** the truth times a smooth random error of this rms [1] */
    | { readonly kind: "planned"; readonly error: number }
    /** what the old meter's ECU holds: the truth */
    | { readonly kind: "factory" };
  readonly barometer: Pressure;
  readonly outside: Temperature;
  /** Coolant at the start. */
  readonly coolant: Temperature;
  readonly logRate: Frequency;
  /** Channels of a row read one after the other, or all at once. */
  readonly inTurn: boolean;
  readonly control: SimulatedFeedback;
  /** Standard deviation of what the meter reads differently from drive to drive [1]. */
  readonly betweenDrives: number;
  readonly faults: SimulatedFaults;
}
