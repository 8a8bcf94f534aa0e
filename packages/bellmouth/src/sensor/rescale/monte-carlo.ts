import { airViscosity } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { RandomSource } from "../../fit/index.js";
import { type Housing, sectionNumbers, sectionSizes, type Uncertain } from "../housing.js";
import { combinedUncertainty, type TransferCurve } from "../transfer-curve.js";
import { correlationOf } from "./cell-budget.js";
import { BUDGET_COMPONENTS, COMPONENT_CORRELATION, smoothCorrelation } from "./covariance.js";
import { type DrawnQuantity, summariseDraws } from "./draws.js";
import { type Duct, ductLogs, EVENING_U, type FactorDoubt, factorDoubt, makeDuct } from "./duct.js";
import { fluxTables, placeDraw, type RowPlaces, readTable } from "./flux-table.js";
import { addDots, columnsOf, type Factor, factorOf, lowRankFactor } from "./low-rank.js";
import { type HousingSwap, sameHousing } from "./rescale.js";
import { checkPair, installationPair, profileDoubt, profileSharing, type SharedPart } from "./sharing.js";

/** One cell's flow as drawn: mean, low and high in [kg/s], u the standard deviation of ln flow [1]. */
export interface DrawnCell extends DrawnQuantity {
  /** [Hz] or [V] */
  readonly signal: number;
}

export interface MonteCarloRescaled {
  readonly draws: number;
  readonly cells: readonly DrawnCell[];
}

/** The given table's own errors in ln flow: those that cells share, as a factor, and each cell's own. */
function givenErrors(curve: TransferCurve, whole: readonly number[]): { shared: Factor; own: Float64Array } {
  const n = curve.cells.length;
  const lnFlow = curve.cells.map(({ flow }) => Math.log(flow));
  const parts = BUDGET_COMPONENTS.map((name) => ({
    how: COMPONENT_CORRELATION[name],
    u: curve.cells.map(({ budget }) => budget[name] ?? 0),
  })).filter(({ u }) => u.some((part) => part > 0));
  const smooth = parts.filter(({ how }) => typeof how === "number");
  const factor = lowRankFactor((i, j) => {
    const [a, b] = [lnFlow[i] as number, lnFlow[j] as number];
    return smooth.reduce(
      (sum, { how, u }) => sum + (u[i] as number) * (u[j] as number) * smoothCorrelation(a, b, how as number),
      0,
    );
  }, whole);
  const common = parts.filter(({ how }) => how === "common").map(({ u }) => u);
  const alone = parts.filter(({ how }) => how === "independent").map(({ u }) => u);
  return {
    shared: factorOf([...common, ...columnsOf(factor)], n),
    own: Float64Array.from(curve.cells, (_, i) => Math.hypot(...alone.map((u) => u[i] as number))),
  };
}

/** What is unsure of the profile factor of each cell, in either housing. */
interface Doubts {
  readonly from: readonly FactorDoubt[];
  readonly to: readonly FactorDoubt[];
}

const INSTALLATION_LENGTH = COMPONENT_CORRELATION.installation as number;

/** Errors in ln flux of the profile, each part as the two housings share it, and of what is ahead: smooth over the cells. */
function profileErrors(
  doubts: Doubts,
  sharing: readonly SharedPart[],
  installation: number,
  xFrom: Float64Array,
  xTo: Float64Array,
  whole: readonly number[],
): Factor {
  const n = xFrom.length;
  // An error enters with a plus in the old housing and a minus in the new: one process read at 2n places.
  const places = Float64Array.from({ length: 2 * n }, (_, i) => (i < n ? xFrom[i] : xTo[i - n]) as number);
  const all = [...doubts.from, ...doubts.to];
  const part = (i: number, j: number, crossed: boolean): number => {
    const [a, b] = [all[i] as FactorDoubt, all[j] as FactorDoubt];
    let sum = 0;
    for (const { part: name, shared, length } of sharing) {
      const weight = crossed ? -shared : 1;
      const both = weight * a[name] * b[name];
      if (both !== 0) sum += both * smoothCorrelation(places[i] as number, places[j] as number, length);
    }
    return sum;
  };
  return lowRankFactor(
    (i, j) =>
      part(i, j, false) +
      part(n + i, n + j, false) +
      part(i, n + j, true) +
      part(n + i, j, true) +
      installation ** 2 * smoothCorrelation(xFrom[i] as number, xFrom[j] as number, INSTALLATION_LENGTH),
    whole,
  );
}

/** Draws the logs of a housing's open area and scale: its sizes normal about what was measured. */
function sizeDrawer(
  housing: Housing,
  viscosity: number,
): (z0: number, z1: number, blocked: number, even: number) => { lnArea: number; lnScale: number } {
  const [a, b] = sectionSizes(housing.section);
  const { blockage, section } = housing;
  const size = (given: Uncertain | undefined, z: number): number => {
    const value = given?.value ?? 0;
    // A draw far out in the tail of a careless uncertainty must leave a duct: sizes and opening keep a hundredth.
    return Math.max(value + z * (given?.u ?? 0), 0.01 * value);
  };
  return (z0, z1, blocked, even) => {
    const [x, y] = [size(a, z0), size(b, z1)];
    const most = 0.99 * sectionNumbers(section.shape, x, y).area;
    const taken = (1 + even * EVENING_U) * (blockage.value + blocked * blockage.u);
    return ductLogs(housing, x, y, Math.min(taken, most), viscosity);
  };
}

/** Most flows held at once: 160 MB. */
const MOST = 2e7;
/** Draws whose random numbers are held at once: few enough to stay in a processor's cache. */
const BLOCK = 250;

/**
 * `rescaleTransferCurve` by Monte Carlo: every input is drawn and the curve rescaled through the full law, so that it
 * checks the first-order budget and holds where that one is strained (a long pipe's transition). Sizes, blockages and the
 * given table's components are normal; runs normal, cut short of 0; profile factors and installation log-normal.
 * Components run over the cells as `COMPONENT_CORRELATION` says, so the draws are whole curves.
 *
 * @param curve flows [kg/s] for `swap.from`
 * @param swap  as in `rescaleTransferCurve`
 * @param options.random seeded source, for example `seededRandom(1)`
 * @param options.draws  how many curves, 100 to 1,000,000; 10,000 give u to about 1 %
 * @throws `E_DOMAIN` as `rescaleTransferCurve`, or when draws are too few or many; `E_TOO_LARGE` past 2e7 flows in all
 * @source JCGM 101:2008 (GUM Supplement 1)
 */
export function monteCarloRescale(
  curve: TransferCurve,
  swap: HousingSwap,
  options: { readonly random: RandomSource; readonly draws: number },
): MonteCarloRescaled {
  const { random } = options;
  const draws = Math.round(requireNumber(options.draws, "options.draws", "1", { from: 100, to: 1e6 }));
  if (draws * curve.cells.length > MOST) {
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "every draw of every cell is held at once, and these are too many",
      found: `${draws} draws of ${curve.cells.length} cells`,
      accepted: `at most ${MOST} in all`,
      at: { path: "options.draws" },
    });
  }
  const from = makeDuct(swap.from, swap.air.temperature, "from");
  const to = makeDuct(swap.to, swap.air.temperature, "to");
  checkPair(swap.from, swap.to);
  const same = sameHousing(swap.from, swap.to);
  const sharing = profileSharing(from, to);
  const installation = same && swap.elsewhere !== true ? 0 : installationPair(from, to);
  const n = curve.cells.length;
  const lnOld = Float64Array.from(curve.cells, ({ flow }) => Math.log(flow));
  const xFrom = lnOld.map((value) => value - from.lnScale);
  const shift = from.lnScale - from.lnArea - to.lnScale + to.lnArea;
  const xTo = same ? xFrom : xFrom.map((x) => to.law.solve(from.law.at(x) + shift));
  const doubts: Doubts = {
    from: Array.from(xFrom, (x) => factorDoubt(from, x)),
    to: Array.from(xTo, (x) => factorDoubt(to, x)),
  };
  // Roughly each cell's variance, so that small parts of it are drawn no finer than they count.
  const whole = curve.cells.map(({ budget }, i) => {
    const own = Math.hypot(combinedUncertainty(budget), installation);
    if (same) return own * own;
    const places = [xFrom[i] as number, xTo[i] as number] as const;
    const profile = profileDoubt(
      sharing,
      doubts.from[i] as FactorDoubt,
      doubts.to[i] as FactorDoubt,
      ...places,
    );
    return own * own + profile * profile;
  });
  const given = givenErrors(curve, whole);
  const profile =
    same && installation === 0
      ? factorOf([], n)
      : profileErrors(doubts, same ? [] : sharing, installation, xFrom, xTo, whole);

  const ends = (x: Float64Array): [number, number] => {
    const flowing = x.filter(Number.isFinite);
    return [Math.min(...flowing) - 1, Math.max(...flowing) + 1];
  };
  const law = fluxTables(from, ...ends(xFrom)).law;
  const inverse = fluxTables(to, ...ends(xTo)).inverse;
  const viscosity = airViscosity(swap.air.temperature);
  const drawFrom = sizeDrawer(swap.from, viscosity);
  const drawTo = sizeDrawer(swap.to, viscosity);
  const distanceOf = ({ ahead, distanceAt }: Duct) => {
    const [middle, u] = [ahead?.flow.distance ?? 0, ahead?.distanceU ?? 0];
    return (z: number): number => distanceAt(middle + z * u);
  };
  const [distanceFrom, distanceTo] = [distanceOf(from), distanceOf(to)];
  const rho = correlationOf(swap.correlation);
  const partner = (z: number, r: number): number => r * z + Math.sqrt(1 - r * r) * random.normal();

  // Block by block, cell by cell: what a draw has for all cells is drawn first.
  const out = new Float64Array(n * draws);
  const zShared = new Float64Array(BLOCK * given.shared.width);
  const zProfile = new Float64Array(BLOCK * profile.width);
  const perDraw = (): Float64Array => new Float64Array(BLOCK);
  const [shiftFrom, shiftTo, move, work] = [perDraw(), perDraw(), perDraw(), perDraw()];
  const placesFrom: RowPlaces = { start: new Int32Array(BLOCK), share: perDraw() };
  const placesTo: RowPlaces = { start: new Int32Array(BLOCK), share: perDraw() };
  for (let start = 0; start < draws; start += BLOCK) {
    const block = Math.min(BLOCK, draws - start);
    for (let k = 0; k < zShared.length; k++) zShared[k] = random.normal();
    for (let k = 0; k < zProfile.length; k++) zProfile[k] = random.normal();
    for (let b = 0; b < block; b++) {
      const z0 = random.normal();
      const z1 = random.normal();
      const even = random.normal();
      const old = drawFrom(z0, z1, random.normal(), even);
      const now = drawTo(partner(z0, rho.bore), partner(z1, rho.bore), random.normal(), even);
      placeDraw(law, placesFrom, b, distanceFrom(random.normal()));
      placeDraw(inverse, placesTo, b, distanceTo(random.normal()));
      shiftFrom[b] = old.lnScale;
      shiftTo[b] = now.lnScale;
      move[b] = old.lnScale - old.lnArea + now.lnArea - now.lnScale;
    }
    for (let i = 0; i < n; i++) {
      const own = given.own[i] as number;
      work.fill(lnOld[i] as number);
      addDots(given.shared, i, zShared, work, block);
      if (own > 0) for (let b = 0; b < block; b++) work[b] = (work[b] as number) + own * random.normal();
      if (!same) {
        for (let b = 0; b < block; b++) work[b] = (work[b] as number) - (shiftFrom[b] as number);
        readTable(law, placesFrom, work, block);
        for (let b = 0; b < block; b++) work[b] = (work[b] as number) + (move[b] as number);
        addDots(profile, i, zProfile, work, block);
        readTable(inverse, placesTo, work, block);
        for (let b = 0; b < block; b++) work[b] = (work[b] as number) + (shiftTo[b] as number);
      } else if (profile.width > 0) addDots(profile, i, zProfile, work, block);
      out.set(block === BLOCK ? work : work.subarray(0, block), i * draws + start);
    }
  }
  const cells = curve.cells.map(({ signal, flow }, i): DrawnCell => {
    if (flow === 0) return { signal, mean: 0, u: 0, low: 0, high: 0 };
    const { mean, u, low, high } = summariseDraws(out, i * draws, (i + 1) * draws);
    return { signal, mean: Math.exp(mean), u, low: Math.exp(low), high: Math.exp(high) };
  });
  return { draws, cells };
}
