import { lagShare } from "./interpolate.js";
import { STEP } from "./step.js";

/** A pump that cannot hold the pressure when much fuel is asked for, less so as its fuel warms up. */
export interface FuelSagSpec {
  /** Fuel up to which the pressure is held [kg/s]. */
  readonly capacity: number;
  /** Loss of pressure over its nominal value, for fuel asked for in excess of the capacity, relative to the capacity [1]. */
  readonly slope: number;
  /** Time in which the pressure follows [s]. */
  readonly time: number;
  /** Share of the capacity that is lost in an hour [1/h]. */
  readonly fade: number;
}

/** Pressure over its nominal value [1], step by step. State of one drive. @source Orifice equation behind it; the pump's line: common practice, no source. */
export function makeFuelSag(spec: FuelSagSpec | undefined): (fuel: number) => number {
  let pressure = 1;
  let time = 0;
  return (fuel) => {
    if (spec === undefined) return 1;
    time += STEP;
    const capacity = spec.capacity * Math.max(0.1, 1 - (spec.fade * time) / 3600);
    const wanted = Math.max(0.3, 1 - spec.slope * Math.max(0, fuel / capacity - 1));
    pressure += (wanted - pressure) * lagShare(STEP, spec.time);
    return pressure;
  };
}
