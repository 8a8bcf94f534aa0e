import { STEP } from "./step.js";

/** What the lambda sensor shows wrongly, besides noise. */
export interface LambdaSensorErrorSpec {
  /** Relative, all along [1]. */
  readonly offset?: number;
  /** Relative, growing straight with time [1/h]. */
  readonly drift?: number;
  /** Excess of the sensor's slope away from lambda 1 [1]: 0.1 shows 0.89 for 0.9. */
  readonly slope?: number;
  /** From this moment on it shows one value [s]. */
  readonly stuckFrom?: number;
  /** Whether the ECU's feedback acts on this sensor too, or has a sound one of its own. */
  readonly feedsControl?: boolean;
}

/** Shown lambda of a true one, step by step. State of one drive. */
export function makeLambdaSensorError(spec: LambdaSensorErrorSpec | undefined): {
  readonly shown: (lambda: number) => number;
  readonly stuck: () => boolean;
  readonly step: () => void;
} {
  let time = 0;
  let kept = Number.NaN;
  const stuck = (): boolean => spec?.stuckFrom !== undefined && time >= spec.stuckFrom;
  return {
    step: () => {
      time += STEP;
    },
    stuck,
    shown: (lambda) => {
      if (spec === undefined) return lambda;
      if (stuck() && !Number.isNaN(kept)) return kept;
      const sloped = 1 + (lambda - 1) * (1 + (spec.slope ?? 0));
      kept = sloped * (1 + (spec.offset ?? 0) + ((spec.drift ?? 0) * time) / 3600);
      return kept;
    },
  };
}
