import type { ControlSpec } from "./car-spec.js";
import { makeNarrowBand } from "./narrow-band.js";

export interface Feedback {
  readonly step: (input: {
    readonly closedLoop: boolean;
    readonly learn: boolean;
    /** Fuel is cut: the sensor sees plain air. */
    readonly cut: boolean;
    /** What the control sensor shows [1], and what it should. */
    readonly sensed: number;
    readonly target: number;
    /** Metered air [kg/s]. */
    readonly load: number;
    readonly step: number;
  }) => { readonly shortTrim: number; readonly longTrim: number };
  readonly longTrims: () => readonly number[];
}

/**
 * Short trim from lambda feedback, long trim learnt by load cell. Multiplicative: fuel goes with (1 + short)(1 + long).
 *
 * @source Switching control as a limit cycle with a proportional jump and a ramp, and adaptation that moves the
 *   integrator into a load-cell memory: common practice, no source.
 */
export function makeFeedback(control: ControlSpec, start: readonly number[] | undefined): Feedback {
  const cells = control.learningEdges.length + 1;
  const long = Array.from({ length: cells }, (_, i) => start?.[i] ?? 0);
  const clip = (value: number): number => Math.max(-control.limit, Math.min(control.limit, value));
  const narrowBand = control.narrowBand === undefined ? undefined : makeNarrowBand(control.narrowBand);
  let ramp = 0;
  const driveOf = (sensed: number, target: number, step: number): number => {
    if (narrowBand !== undefined) return narrowBand(sensed, step);
    const error = sensed / target - 1;
    return control.kind === "switching" ? Math.sign(error) : Math.max(-0.2, Math.min(0.2, error));
  };
  return {
    step: ({ closedLoop, learn, cut, sensed, target, load, step }) => {
      const edge = control.learningEdges.findIndex((upper) => load < upper);
      const cell = edge < 0 ? cells - 1 : edge;
      let shortTrim = 0;
      const drive = driveOf(sensed, target, step);
      if (closedLoop) {
        ramp = clip(ramp + control.rate * drive * step);
        shortTrim = clip(ramp + control.step * drive);
        if (learn) {
          const moved = (ramp * step) / control.learningTime;
          const before = long[cell]!;
          long[cell] = clip(before + moved);
          ramp -= long[cell]! - before;
        }
      } else if (control.atRest === "wind up" && cut) {
        ramp = clip(ramp + control.rate * drive * step);
        shortTrim = ramp;
      } else if (control.atRest === "hold" || control.atRest === "wind up") {
        shortTrim = ramp;
      } else {
        ramp = 0;
      }
      return { shortTrim, longTrim: long[cell]! };
    },
    longTrims: () => [...long],
  };
}
