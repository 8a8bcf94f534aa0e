import type { MoistAir } from "../../air/index.js";
import type { RestrictionOptions, Tract, TractChange, TractPoint } from "../../intake/index.js";

/** A restriction budget to be made, read: all numbers SI, files loaded. */
export interface RestrictionDocument {
  readonly kind: "restriction";
  readonly title: string;
  readonly air: MoistAir;
  readonly tract: Tract;
  readonly points: readonly TractPoint[];
  /** Whether flows were measured, or reckoned from engine speed; K then rests on the volumetric efficiency as well. */
  readonly flows: "measured" | "reckoned";
  readonly options: RestrictionOptions;
  readonly changes: readonly TractChange[];
  /** What the flow does when a change is made: follows the pressure at the end of the tract, or is held by a boost control. */
  readonly engineFlow: "follows density" | "held";
  /**
   * Highest flow over what the engine would draw at full outside density without boost [1], where speed, flow and engine are
   * given and no manifold pressure; null otherwise.
   */
  readonly filling: number | null;
  /** Units that results are shown in: those of the readings. */
  readonly units: { readonly pressure: string; readonly flow: string };
}
