import { lagShare, lineThrough } from "./interpolate.js";
import { STEP } from "./step.js";

/** How a meter reads this drive against its true curve. */
export interface MeterErrorSpec {
  /** ln of read over true flow [1] over flow [kg/s], joined by straight lines in ln flow: what differs from drive to drive. */
  readonly flow?: readonly number[];
  readonly ln?: readonly number[];
  /** Relative error at full heat soak without flow [1]: a hot housing warms the air and the element's foot. */
  readonly soak?: number;
}

/** Flow at which half of the soak's error is left [kg/s], and time in which the housing follows [s]; common practice, no source. */
const SOAK_FLOW = 0.008;
const SOAK_TIME = 120;

/** Flow that the meter reads [kg/s] of a true one, step by step. State of one drive. */
export function makeMeterError(spec: MeterErrorSpec | undefined): (flow: number) => number {
  const lnFlow = (spec?.flow ?? []).map(Math.log);
  const ln = spec?.ln ?? [];
  let soak = 1;
  return (flow) => {
    if (spec === undefined) return flow;
    soak += (Math.exp(-flow / 0.02) - soak) * lagShare(STEP, SOAK_TIME);
    const warm = ((spec.soak ?? 0) * soak * SOAK_FLOW) / (SOAK_FLOW + flow);
    const own = lnFlow.length === 0 ? 0 : lineThrough(lnFlow, ln, Math.log(Math.max(flow, 1e-6)));
    return flow * Math.exp(own) * (1 + warm);
  };
}
