import { airDensity, chokedMassFlux, type MoistAir, machNumber } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import {
  type Housing,
  openArea,
  sectionArea,
  sectionNumbers,
  sectionSizes,
  type Uncertain,
} from "../../sensor/index.js";
import {
  type Area,
  kilogramsPerSecond,
  type MassFlow,
  type PressureDifference,
  pascalsDifference,
  squareMetres,
} from "../../units/index.js";
import { stepLosses } from "../restriction/index.js";

/** Ducts that stay as they are on both sides of a housing [m^2]. */
export interface UnchangedDucts {
  readonly before: Area;
  readonly after: Area;
}

/** What a meter housing costs in pressure: its own part, and with `ducts` the steps to them. */
export type HousingLoss = {
  readonly ducts?: UnchangedDucts;
} /** loss coefficient on the dynamic head in the open area [1], the same for every bore of that shape */ & (
  | { readonly kind: "coefficient"; readonly loss: Uncertain }
  /** a drop, steps to the ducts in it, measured over `housing` [Pa] at a flow [kg/s], in the air it was measured in; the air asked for when left out */
  | {
      readonly kind: "drop";
      readonly drop: Uncertain<PressureDifference>;
      readonly flow: Uncertain<MassFlow>;
      readonly housing: Housing;
      readonly air?: MoistAir;
    }
);

/**
 * Relative standard uncertainty of a step's loss [1]: Rennels and Hudson find up to a third more than the common formula;
 * one standard uncertainty is chosen.
 */
const STEP_U = 0.3;

/** Loss of the steps between a housing's bore and the ducts [1/m^4], as b of dp = b m^2 / rho. */
const stepsOf = (housing: Housing, ducts: UnchangedDucts | undefined): number =>
  ducts === undefined ? 0 : stepLosses(sectionArea(housing.section), ducts);

/** Relative standard uncertainty of a housing's open area [1]. */
export function openAreaUncertainty(housing: Housing): number {
  const sizes = sectionSizes(housing.section);
  const [a, b] = [sizes[0]?.value ?? 0, sizes[1]?.value ?? 0];
  const at = (da: number, db: number): number => sectionNumbers(housing.section.shape, a + da, b + db).area;
  const parts = sizes.map(({ u }, i) => (i === 0 ? at(u, 0) - at(-u, 0) : at(0, u) - at(0, -u)) / 2);
  return Math.hypot(...parts, housing.blockage.u) / openArea(housing);
}

/**
 * Pressure that a housing is predicted to cost at a flow [Pa], with its standard uncertainty; the flow itself is taken as
 * said. A measured drop scales with flow squared, with the inverse square of the open area and with the inverse of the
 * air's density, which holds for a given shape (one loss coefficient). With `ducts` the steps between the bore and them are
 * counted apart: they are taken out of a measured drop before it is scaled, and the new housing's are added.
 *
 * @param loss    coefficient [1], or a measured drop [Pa] at a flow [kg/s] and the housing it was measured over; ducts
 * @param housing to predict for
 * @param flow    [kg/s]
 * @param air     at the meter
 * @throws `E_DOMAIN` on a negative coefficient, drop or flow, a measured flow that is not positive, or a measured drop below
 *   what the steps alone would cost
 * @source dp = K rho u^2/2, D. S. Miller, Internal Flow Systems, 2nd ed. (1990); steps as `stepLosses`
 */
export function housingDrop(
  loss: HousingLoss,
  housing: Housing,
  flow: MassFlow,
  air: MoistAir,
): Uncertain<PressureDifference> {
  requireNumber(flow, "flow", "kg/s", { from: 0 });
  const area = openArea(housing);
  const uArea = openAreaUncertainty(housing);
  if (loss.kind === "coefficient") {
    const k = requireNumber(loss.loss.value, "loss.loss.value", "1", { from: 0 });
    const uK = requireNumber(loss.loss.u, "loss.loss.u", "1", { from: 0 });
    const head = (flow / area) ** 2 / (2 * airDensity(air));
    const steps = (stepsOf(housing, loss.ducts) * flow ** 2) / airDensity(air);
    return {
      value: pascalsDifference(k * head + steps),
      u: Math.hypot(uK * head, 2 * uArea * k * head, STEP_U * steps),
    };
  }
  const drop = requireNumber(loss.drop.value, "loss.drop.value", "Pa", { from: 0 });
  const uDrop = requireNumber(loss.drop.u, "loss.drop.u", "Pa", { from: 0 });
  const at = requireNumber(loss.flow.value, "loss.flow.value", "kg/s", { over: 0 });
  const uFlow = requireNumber(loss.flow.u, "loss.flow.u", "kg/s", { from: 0 }) / at;
  const measuredIn = loss.air ?? air;
  const denser = airDensity(measuredIn) / airDensity(air);
  const stepsIn = (stepsOf(loss.housing, loss.ducts) * at ** 2) / airDensity(measuredIn);
  if (stepsIn > drop) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the steps to the ducts alone would cost more than the drop that was measured",
      found: `${drop} Pa measured, ${stepsIn} Pa of steps`,
      accepted: "a drop over the housing with its steps, or no ducts where tapers join them",
      at: { path: "loss.ducts" },
    });
  }
  const scale = denser * ((flow / at) * (openArea(loss.housing) / area)) ** 2;
  // The measured housing itself: its area cancels, only the flow it was measured at is in doubt.
  const areas = sameDuct(loss.housing, housing) ? 0 : Math.hypot(uArea, openAreaUncertainty(loss.housing));
  const own = (drop - stepsIn) * scale;
  const steps = (stepsOf(housing, loss.ducts) * flow ** 2) / airDensity(air);
  // A step's formula errs alike in both housings: what is taken out and what is added are in doubt together.
  const inDoubt = steps - stepsIn * scale;
  return {
    value: pascalsDifference(own + steps),
    u: Math.hypot(uDrop * scale, 2 * own * areas, 2 * (own + stepsIn * scale) * uFlow, STEP_U * inDoubt),
  };
}

const sameDuct = (a: Housing, b: Housing): boolean =>
  JSON.stringify([a.section, a.blockage]) === JSON.stringify([b.section, b.blockage]);

/**
 * Mach number in a housing's open area at a flow [1]; 1 when the housing cannot pass it.
 *
 * @param housing its open area
 * @param flow    [kg/s]
 * @param air     before the housing; its pressure and temperature are taken as those at rest
 * @throws `E_DOMAIN` on a negative flow
 */
export function housingMach(housing: Housing, flow: MassFlow, air: MoistAir): number {
  requireNumber(flow, "flow", "kg/s", { from: 0 });
  const rest = { stagnationPressure: air.pressure, stagnationTemperature: air.temperature };
  const area = openArea(housing);
  if (!(flow < chokedMassFlux(rest) * area)) return 1;
  return machNumber({ ...rest, massFlow: kilogramsPerSecond(flow), area: squareMetres(area) });
}
