import type { CarSpec } from "./car-spec.js";
import type { MeterErrorSpec } from "./meter-error.js";
import type { Random } from "./random.js";

const NODES = 4;
/** Share of the variance that is the same at all flows [1]; chosen. */
const COMMON = 0.6;

/**
 * What a meter reads differently on one drive than on another: a smooth function of flow with a standard deviation [1] at its
 * nodes, part of it common to all flows.
 *
 * @source Shape and shares: chosen; common practice, no source.
 */
export function differenceBetweenDrives(car: CarSpec, sd: number, random: Random): MeterErrorSpec {
  const { cells } = car.meter.trueCurve;
  const full = cells[cells.length - 1]!.flow;
  const common = random.normal();
  const nodes = Array.from({ length: NODES }, (_, k) => ({
    flow: full * Math.exp(4 * (k / (NODES - 1) - 1)),
    ln: sd * (Math.sqrt(COMMON) * common + Math.sqrt(1 - COMMON) * random.normal()),
  }));
  return { flow: nodes.map(({ flow }) => flow), ln: nodes.map(({ ln }) => ln) };
}
