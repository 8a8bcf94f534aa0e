import { blendedAir } from "./blended-airflow.js";
import type { DriveSpec } from "./drive-spec.js";
import { makeFeedback } from "./feedback.js";
import { lagShare, lineThrough } from "./interpolate.js";
import { STEP } from "./step.js";

export interface EcuStep {
  readonly target: number;
  readonly shortTrim: number;
  readonly longTrim: number;
  readonly cut: boolean;
  readonly closedLoop: boolean;
  /** Fuel that the cylinders should get [kg/s]. */
  readonly wantedFuel: number;
}

/**
 * Engine control: filling filter, lambda target with warm-up and full-load enrichment, fuel cut on overrun, trims. Thresholds
 * are common practice, no source.
 */
export function makeEcu(spec: DriveSpec, startFlow: number) {
  const { engine, fuel, fullLoadLambda, control } = spec.car;
  const feedback = makeFeedback(control, spec.longTrims);
  let filteredAir = startFlow;
  let enriched = 0;
  let cut = false;
  let sinceStart = 0;
  return {
    longTrims: feedback.longTrims,
    step: (input: {
      readonly metered: number;
      /** Air that the cylinders draw [kg/s], and manifold over outside pressure [1]: for a modelled airflow. */
      readonly cylinder: number;
      readonly load: number;
      readonly engineSpeed: number;
      readonly opening: number;
      readonly slipping: boolean;
      readonly coolant: number;
      /** What the control sensor shows [1]. */
      readonly sensed: number;
    }): EcuStep => {
      const { metered, engineSpeed, opening, slipping, coolant, sensed } = input;
      sinceStart += STEP;
      const fillTime =
        (fuel.fillingCompensation * engine.manifoldVolume) /
        (0.85 * engine.displacement * (Math.max(engineSpeed, 5) / 2));
      const dosed = blendedAir(spec.faults.blend, metered, input.cylinder, engineSpeed, input.load);
      filteredAir += (dosed - filteredAir) * lagShare(STEP, fillTime);
      const lifted = opening < 0.02 && !slipping;
      if (lifted && engineSpeed > 28 && coolant > 320) cut = true;
      else if (!lifted || engineSpeed < 21) cut = false;
      enriched += ((opening > 0.7 ? 1 : 0) - enriched) * lagShare(STEP, 0.15);
      const rich = lineThrough(fullLoadLambda.speed, fullLoadLambda.value, engineSpeed);
      const warmUp = 1 - 0.12 * Math.min(1, Math.max(0, (335 - coolant) / 60));
      const target = Math.min(warmUp, 1 - enriched * (1 - rich));
      const closedLoop =
        spec.feedback && coolant > 325 && sinceStart > 20 && !cut && enriched < 0.05 && warmUp > 0.995;
      const learnt = feedback.step({
        closedLoop,
        learn: closedLoop && coolant > 345,
        cut,
        sensed,
        target,
        load: metered,
        step: STEP,
      });
      const { shortTrim, longTrim } = spec.feedback ? learnt : { shortTrim: 0, longTrim: 0 };
      const wantedFuel = cut
        ? 0
        : (filteredAir / (fuel.stoichiometric * target)) * (1 + shortTrim) * (1 + longTrim);
      return { target, shortTrim, longTrim, cut, closedLoop, wantedFuel };
    },
  };
}
