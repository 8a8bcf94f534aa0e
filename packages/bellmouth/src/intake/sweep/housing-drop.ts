import { airDensity, chokedMassFlux, type MoistAir, machNumber } from "../../air/index.js";
import { requireNumber } from "../../fault/index.js";
import { type Housing, openArea, sectionNumbers, sectionSizes, type Uncertain } from "../../sensor/index.js";
import {
  kilogramsPerSecond,
  type MassFlow,
  type PressureDifference,
  pascalsDifference,
  squareMetres,
} from "../../units/index.js";

/** What a meter housing costs in pressure. */
export type HousingLoss =
  /** loss coefficient on the dynamic head in the open area [1], the same for every bore of that shape */
  | { readonly kind: "coefficient"; readonly loss: Uncertain }
  /** a drop measured over `housing` [Pa] at a flow [kg/s], in the air it was measured in; the air asked for when left out */
  | {
      readonly kind: "drop";
      readonly drop: Uncertain<PressureDifference>;
      readonly flow: Uncertain<MassFlow>;
      readonly housing: Housing;
      readonly air?: MoistAir;
    };

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
 * air's density, which holds for a given shape (one loss coefficient).
 *
 * @param loss    coefficient [1], or a measured drop [Pa] at a flow [kg/s] and the housing it was measured over
 * @param housing to predict for
 * @param flow    [kg/s]
 * @param air     at the meter
 * @throws `E_DOMAIN` on a negative coefficient, drop or flow, or a measured flow that is not positive
 * @source dp = K rho u^2/2, D. S. Miller, Internal Flow Systems, 2nd ed. (1990)
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
    return { value: pascalsDifference(k * head), u: Math.hypot(uK * head, 2 * uArea * k * head) };
  }
  const drop = requireNumber(loss.drop.value, "loss.drop.value", "Pa", { from: 0 });
  const uDrop = requireNumber(loss.drop.u, "loss.drop.u", "Pa", { from: 0 });
  const at = requireNumber(loss.flow.value, "loss.flow.value", "kg/s", { over: 0 });
  const uFlow = requireNumber(loss.flow.u, "loss.flow.u", "kg/s", { from: 0 }) / at;
  const denser = loss.air === undefined ? 1 : airDensity(loss.air) / airDensity(air);
  const scale = denser * ((flow / at) * (openArea(loss.housing) / area)) ** 2;
  // The measured housing itself: its area cancels, only the flow it was measured at is in doubt.
  const areas = sameDuct(loss.housing, housing) ? 0 : Math.hypot(uArea, openAreaUncertainty(loss.housing));
  return {
    value: pascalsDifference(drop * scale),
    u: Math.hypot(uDrop * scale, 2 * drop * scale * Math.hypot(uFlow, areas)),
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
