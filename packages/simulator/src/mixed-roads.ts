import type { CarSpec } from "./car-spec.js";
import { idle, motorway, pulls, town, traffic } from "./cycles.js";
import type { Segment } from "./drive-spec.js";
import type { Random } from "./random.js";

/** Idle, town, motorway and traffic, with full-throttle pulls between or without any. */
export function mixedRoads(car: CarSpec, random: Random, withPulls: boolean): Segment[] {
  const parts: Segment[][] = [
    [...idle(8), ...town(random, 5)],
    withPulls ? pulls(car, random, 3) : motorway(random, 3),
    motorway(random, 4),
    town(random, 5),
    withPulls ? pulls(car, random, 3) : traffic(random, 2),
    traffic(random, 3),
  ];
  return parts.flat();
}
