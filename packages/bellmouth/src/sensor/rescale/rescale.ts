import type { Temperature } from "../../units/index.js";
import type { Housing } from "../housing.js";
import {
  type CellFlag,
  makeTransferCurve,
  mergeBudgets,
  type TransferCell,
  type TransferCurve,
} from "../transfer-curve.js";
import { cellBudget, correlationOf, type SwapCorrelation } from "./cell-budget.js";
import { type Duct, makeDuct } from "./duct.js";
import { checkPair, installationPair, profileSharing } from "./sharing.js";

/** A move of one element from the housing its curve is for to another. */
export interface HousingSwap {
  /** The housing the given curve is for. */
  readonly from: Housing;
  /** The housing the curve is wanted for. */
  readonly to: Housing;
  /** Air in the meter; [K]. Only its viscosity counts. */
  readonly air: { readonly temperature: Temperature };
  /** How far the two housings share their errors; none where not given, which is the cautious side. */
  readonly correlation?: SwapCorrelation;
  /**
   * The curve was made in another place: what stood ahead of the housing there is not what stands here. Then even a housing
   * that moves with its element gets the budget's `installation`, twice, less what `sameAhead` shares.
   */
  readonly elsewhere?: boolean;
}

/** How one cell was rescaled. */
export interface RescaledCell {
  /** Pipe Reynolds number [1] in either housing. */
  readonly reynoldsFrom: number;
  readonly reynoldsTo: number;
  /** Profile factor [1] used in either housing (levelled where `ambiguous`). */
  readonly kappaFrom: number;
  readonly kappaTo: number;
  /** New flow over old flow [1]. */
  readonly factor: number;
  /** `factor` over the plain ratio of areas [1]: what scaling by area alone would miss. */
  readonly overAreaOnly: number;
  /** In either housing this signal belongs to more than one flow (transition near the axis); the curve takes the middle way. */
  readonly ambiguous: boolean;
}

export interface Rescaled {
  readonly curve: TransferCurve;
  /** New open area over old [1]. */
  readonly areaRatio: number;
  /** One per cell of the curve. */
  readonly cells: readonly RescaledCell[];
}

/** Number-by-number equality of two housings: the same housing, so nothing is to be rescaled. */
export function sameHousing(a: Housing, b: Housing): boolean {
  const numbers = (value: unknown): unknown =>
    typeof value === "object" && value !== null
      ? Object.entries(value)
          .sort(([x], [y]) => (x < y ? -1 : 1))
          .map(([key, inner]) => [key, numbers(inner)])
      : value;
  return JSON.stringify(numbers(a)) === JSON.stringify(numbers(b));
}

/** A long pipe's transition, where several flows may share a signal; a short housing has none. */
function regimeFlags(
  old: readonly CellFlag[],
  ...places: readonly (readonly [Duct, number])[]
): readonly CellFlag[] {
  const flags = old.filter((flag) => flag !== "transition");
  const between = places.some(([duct, re]) => duct.ahead === undefined && re >= 2000 && re <= 4000);
  return between ? [...flags, "transition"] : flags;
}

const inFold = (duct: Duct, x: number): boolean =>
  duct.law.fold !== undefined && x > duct.law.fold[0] && x < duct.law.fold[1];

/**
 * The transfer curve of the same element in another housing. The element answers to the mass flux at its place, so
 * one signal means one flux: m_new = m_old (A_new/A_old) kappa_old(Re_old) / kappa_new(Re_new), solved for m_new,
 * on which kappa_new depends, to about 1e-14. There and back is the identity to 1e-12. When both housings are the same
 * the curve comes back as it is, cell for cell.
 *
 * On the axis of a long pipe in transition several flows share one signal: such cells are flagged `transition`, and `ambiguous`
 * says where the law was levelled. A short housing has no such cells.
 *
 * Each cell's budget is the given one's, carried over, plus what the swap adds: bore and blockage of both housings,
 * the profile with the runs, what stands ahead (`installation`), first order (GUM 5.1.3, with its note 2 for the slope of
 * the new housing's law). `monteCarloRescale` draws the same.
 *
 * @param curve flows [kg/s] for `swap.from`
 * @param swap  housings, sizes in [m] and [m^2]; air temperature [K]
 * @throws `E_DOMAIN` when a housing, the temperature or a correlation is out of range, or when the housings contradict each
 *   other; `E_ORDER` when two given flows are so close
 *   that their order is lost in rounding
 * @source Local flux: the heat balance of an immersed element, L. V. King, Phil. Trans. R. Soc. A 214 (1914) 373; profile:
 *   see `profileFactor`; uncertainty: JCGM 100:2008.
 * @example
 * const housing = (bore: number) => ({
 *   section: { shape: "round", bore: { value: mm(bore), u: mm(0.05) } },
 *   blockage: { value: mm2(300), u: mm2(15) },
 *   element: { from: 0, to: 0.25 },
 *   run: { value: mm(45), u: mm(10) },
 *   upstream: "bellmouth",
 *   step: mm(0),
 * });
 * const cell = (signal: number, flow: number) => ({ signal, flow, origin: "measured", budget: { element: 0.02 }, flags: [] });
 * const curve = makeTransferCurve({ signal: "voltage", outside: "hold", cells: [cell(2, 0.02), cell(4, 0.2)] });
 * const swap = { from: housing(70), to: housing(80), air: { temperature: celsius(20) } };
 * const { curve: wider, areaRatio, cells } = rescaleTransferCurve(curve, swap);
 * areaRatio // ≈ 1.3320
 * wider.cells[1].flow // ≈ 0.26686
 * cells[1].overAreaOnly // ≈ 1.0017
 */
export function rescaleTransferCurve(curve: TransferCurve, swap: HousingSwap): Rescaled {
  const correlation = correlationOf(swap.correlation);
  const from = makeDuct(swap.from, swap.air.temperature, "from");
  const to = makeDuct(swap.to, swap.air.temperature, "to");
  checkPair(swap.from, swap.to);
  const same = sameHousing(swap.from, swap.to);
  const sharing = profileSharing(from, to);
  const moved = swap.elsewhere === true ? { installation: installationPair(from, to) } : {};
  const lnRatio = to.lnArea - from.lnArea;
  const cells: TransferCell[] = [];
  const notes: RescaledCell[] = [];
  for (const cell of curve.cells) {
    const old = place(from, cell.flow);
    const reach = from.law.at(old.x) + from.lnScale + lnRatio - to.lnScale;
    const x = same ? old.x : to.law.solve(reach);
    const flow = same ? cell.flow : Math.exp(x + to.lnScale);
    const reynoldsFrom = Math.exp(old.x);
    const reynoldsTo = Math.exp(x);
    const kappaTo = cell.flow === 0 ? Math.exp(to.law.factorAt(x)) : Math.exp(to.law.at(x) - x);
    const factor = same ? 1 : cell.flow === 0 ? (Math.exp(lnRatio) * old.kappa) / kappaTo : flow / cell.flow;
    notes.push({
      reynoldsFrom,
      reynoldsTo,
      kappaFrom: old.kappa,
      kappaTo,
      factor,
      overAreaOnly: same ? 1 : factor / Math.exp(lnRatio),
      ambiguous: inFold(from, old.x) || inFold(to, x),
    });
    cells.push(
      same
        ? {
            ...cell,
            budget: mergeBudgets(cell.budget, moved),
            flags: regimeFlags(cell.flags, [from, reynoldsFrom]),
          }
        : {
            signal: cell.signal,
            flow,
            origin: cell.origin === "extrapolated" ? "extrapolated" : "rescaled",
            budget: cellBudget(cell.budget, { from, to, xFrom: old.x, xTo: x, reach }, sharing, correlation),
            flags: regimeFlags(cell.flags, [from, reynoldsFrom], [to, reynoldsTo]),
          },
    );
  }
  return {
    curve: makeTransferCurve({ signal: curve.signal, outside: curve.outside, cells }),
    areaRatio: same ? 1 : Math.exp(lnRatio),
    cells: notes,
  };
}

/** Where a flow stands in a duct: ln Re and the factor the law uses there. */
function place(duct: Duct, flow: number): { x: number; kappa: number } {
  if (flow === 0) {
    const x = Number.NEGATIVE_INFINITY;
    return { x, kappa: Math.exp(duct.law.factorAt(x)) };
  }
  const x = Math.log(flow) - duct.lnScale;
  return { x, kappa: Math.exp(duct.law.at(x) - x) };
}
