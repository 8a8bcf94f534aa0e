import { STEP } from "./step.js";

/** Fuel vapour drawn from the charcoal canister through a valve into the manifold: air that was not metered, and fuel not injected. */
export interface PurgeSpec {
  /** Effective area of the open valve [m^2]. */
  readonly area: number;
  /** Share of fuel in the gas from a full canister, by mass [1]. */
  readonly richness: number;
  /** Gas that takes the fuel in it down by a factor e [kg]. */
  readonly emptying: number;
  /** The valve opens anew every `period` [s], for this share of it [1]. */
  readonly period: number;
  readonly duty: number;
}

/** From this coolant temperature on the canister is purged [K]; common practice, no source. */
const PURGE_FROM = 338;

/** Canister and valve. State of one drive. @source Valve as an orifice; a canister's fuel falls off with the gas drawn: common practice, no source. */
export function makePurge(spec: PurgeSpec | undefined) {
  let drawn = 0;
  let time = 0;
  let open = 0;
  return {
    /** Open area now [m^2]: shut when cold, while fuel is cut, at high load, and in the pauses that the ECU learns in. */
    area: (state: { readonly coolant: number; readonly cut: boolean; readonly load: number }): number => {
      if (spec === undefined) return 0;
      time += STEP;
      const wanted =
        state.coolant > PURGE_FROM &&
        !state.cut &&
        state.load < 0.9 &&
        time % spec.period < spec.duty * spec.period
          ? 1
          : 0;
      // The ECU opens the valve over a few seconds and shuts it at once in a fuel cut.
      open = state.cut ? 0 : open + Math.max(-STEP / 2, Math.min(STEP / 2, wanted - open));
      return spec.area * Math.max(0, open);
    },
    /** Fuel [kg/s] in a flow of gas from the canister [kg/s]. */
    fuel: (gas: number): number => {
      if (spec === undefined || !(gas > 0)) return 0;
      drawn += gas * STEP;
      return gas * spec.richness * Math.exp(-drawn / spec.emptying);
    },
  };
}
