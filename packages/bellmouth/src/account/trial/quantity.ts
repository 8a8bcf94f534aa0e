import type { TrialOutcome } from "../../stage/index.js";
import { toUnit } from "../to-unit.js";

export type Compared = NonNullable<TrialOutcome["pressure"]>;

/** How one compared quantity is named and shown. */
export interface Quantity {
  /** start of ids */
  readonly id: "pressure" | "intake-air";
  readonly title: string;
  /** what the level is: `below outside` */
  readonly levelName: string;
  /** what a difference above zero means */
  readonly upward: string;
  readonly unit: string;
  readonly show: (si: number) => number;
  /** level of the after side from that of the before side and the effect, SI */
  readonly after: (before: number, effect: number) => number;
}

/** Levels are drops below the outside air, so a rise of manifold pressure lowers them; temperatures are over the outside. */
export const quantityOf = (result: Compared, outcome: TrialOutcome): Quantity =>
  result.quantity === "pressure"
    ? {
        id: "pressure",
        title: "Manifold pressure",
        levelName: "below the outside air",
        upward: "more pressure after the change",
        unit: outcome.units.pressure,
        show: toUnit(outcome.units.pressure, "pressure difference"),
        after: (before, effect) => before - effect,
      }
    : {
        id: "intake-air",
        title: "Intake air",
        levelName: "over the outside air",
        upward: "warmer after the change",
        unit: "K",
        show: (si) => si,
        after: (before, effect) => before + effect,
      };

/** Revolutions in a minute. */
export const rpm = (speed: number): number => 60 * speed;
