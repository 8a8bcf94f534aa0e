import { lineThrough } from "./interpolate.js";

/** An ECU that takes the air from speed, pressure and temperature at low engine speed and from the meter above, blended between. */
export interface BlendSpec {
  /** Up to this engine speed the model alone, from the other on the meter alone [rev/s]. */
  readonly modelBelow: number;
  readonly meterAbove: number;
  /** Share of the model where it counts most [1]. */
  readonly share: number;
  /** Relative error of the modelled air [1] at low and full load (manifold over outside pressure 0.3 and 1), at `modelBelow` and below. */
  readonly error: { readonly lowLoad: number; readonly fullLoad: number };
}

/**
 * Air that the ECU doses by [kg/s].
 *
 * @param metered what its table makes of the signal [kg/s]
 * @param cylinder air that the cylinders draw [kg/s]: the model's air, but for its error
 * @source Speed-density air blended with a meter's at low speed: common practice, no source.
 */
export function blendedAir(
  spec: BlendSpec | undefined,
  metered: number,
  cylinder: number,
  speed: number,
  load: number,
): number {
  if (spec === undefined) return metered;
  const share = spec.share * lineThrough([spec.modelBelow, spec.meterAbove], [1, 0], speed);
  const error = lineThrough([0.3, 1], [spec.error.lowLoad, spec.error.fullLoad], load);
  return metered + share * (cylinder * (1 + error) - metered);
}
