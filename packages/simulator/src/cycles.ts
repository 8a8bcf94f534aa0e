import type { CarSpec } from "./car-spec.js";
import type { Segment } from "./drive-spec.js";
import { between, type Random } from "./random.js";

const kmh = (value: number): number => value / 3.6;

/** Stop and go between lights: pull away, cruise, slow down, sometimes stand. */
export const town = (random: Random, legs: number): Segment[] =>
  Array.from({ length: legs }, (): Segment[] => {
    const leg: Segment[] = [
      {
        kind: "speed",
        target: kmh(between(random, 28, 62)),
        acceleration: between(random, 0.7, 2),
        hold: between(random, 4, 18),
      },
    ];
    if (random.uniform() < 0.5) {
      leg.push({
        kind: "speed",
        target: kmh(between(random, 20, 45)),
        acceleration: between(random, 0.6, 1.8),
        hold: between(random, 2, 10),
      });
    }
    if (random.uniform() < 0.6) leg.push({ kind: "idle", seconds: between(random, 3, 20) });
    return leg;
  }).flat();

/** Creeping with long stands. */
export const traffic = (random: Random, legs: number): Segment[] =>
  Array.from({ length: legs }, (): Segment[] => [
    {
      kind: "speed",
      target: kmh(between(random, 8, 25)),
      acceleration: between(random, 0.5, 1.2),
      hold: between(random, 1, 5),
    },
    { kind: "idle", seconds: between(random, 4, 25) },
  ]).flat();

/** Motorway speeds with slow changes. */
export const motorway = (random: Random, legs: number): Segment[] =>
  Array.from(
    { length: legs },
    (): Segment => ({
      kind: "speed",
      target: kmh(between(random, 85, 130)),
      acceleration: between(random, 0.3, 1.1),
      hold: between(random, 10, 35),
    }),
  );

/** Pulls in a middle gear: mostly at full throttle, some at part throttle, each followed by a lift-off. */
export const pulls = (car: CarSpec, random: Random, count: number): Segment[] =>
  Array.from(
    { length: count },
    (_, i): Segment => ({
      kind: "pull",
      gear: random.uniform() < 0.7 ? 2 : 1,
      from: between(random, 28, 42),
      to: car.engine.topSpeed * between(random, 0.86, 0.97),
      throttle: i % 3 === 2 ? between(random, 0.35, 0.6) : 1,
      liftOff: between(random, 2, 5),
    }),
  );

export const idle = (seconds: number): Segment[] => [{ kind: "idle", seconds }];
