import type { ControlSpec } from "./car-spec.js";

export interface Feedback {
  readonly step: (input: {
    readonly closedLoop: boolean;
    readonly learn: boolean;
    /** What the control sensor shows over its target [1]. */
    readonly ratio: number;
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
  let ramp = 0;
  return {
    step: ({ closedLoop, learn, ratio, load, step }) => {
      const edge = control.learningEdges.findIndex((upper) => load < upper);
      const cell = edge < 0 ? cells - 1 : edge;
      let shortTrim = 0;
      if (closedLoop) {
        const error = ratio - 1;
        const drive = control.kind === "switching" ? Math.sign(error) : Math.max(-0.2, Math.min(0.2, error));
        ramp = clip(ramp + control.rate * drive * step);
        shortTrim = clip(ramp + control.step * drive);
        if (learn) {
          const moved = (ramp * step) / control.learningTime;
          const before = long[cell]!;
          long[cell] = clip(before + moved);
          ramp -= long[cell]! - before;
        }
      } else {
        ramp = 0;
      }
      return { shortTrim, longTrim: long[cell]! };
    },
    longTrims: () => [...long],
  };
}
