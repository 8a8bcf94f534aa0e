import type { TransferCurve } from "../../sensor/index.js";

/**
 * How the parts of a cell's error budget hang together over the table. Parts that come from one measured length move
 * all cells together; parts from flow profile or a fitted law are smooth in ln flow; rounding is each cell's own.
 */
const togetherness = {
  bore: { kind: "common" },
  blockage: { kind: "common" },
  element: { kind: "smooth", length: 2 },
  profile: { kind: "smooth", length: 1 },
  law: { kind: "smooth", length: 0.7 },
  refinement: { kind: "smooth", length: 0.5 },
  regrid: { kind: "own" },
  storage: { kind: "own" },
} as const;

const rules = Object.entries(togetherness) as [
  keyof typeof togetherness,
  (typeof togetherness)[keyof typeof togetherness],
][];

/** What every table may be off by, cell by cell, even where its budget claims less [1]. */
export const cellFloor = 0.0007;
/** Smooth error that no plan excludes, for budgets that leave it out [1]. */
const smoothFloor = 0.005;

/** Prior covariance of ln(true flow / table flow), split so that its two parts can be scaled apart. Row-major. */
export interface PriorParts {
  readonly common: Float64Array;
  readonly shape: Float64Array;
  readonly own: Float64Array;
}

/**
 * Prior of a table's error from its cells' budgets.
 *
 * @returns covariance parts of the relative flow error [1]
 */
export function priorOf(curve: TransferCurve): PriorParts {
  const { cells } = curve;
  const n = cells.length;
  const common = new Float64Array(n * n);
  const shape = new Float64Array(n * n);
  const own = new Float64Array(n * n);
  const least = (cells.find((cell) => cell.flow > 0) ?? cells[1]!).flow;
  const x = cells.map((cell) => Math.log(Math.max(cell.flow, 0.5 * least)));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      const a = cells[i]!.budget;
      const b = cells[j]!.budget;
      const distance = Math.abs(x[i]! - x[j]!);
      let c = 0;
      let s = smoothFloor ** 2 * smooth(distance, 1);
      for (const [name, rule] of rules) {
        const product = (a[name] ?? 0) * (b[name] ?? 0);
        if (product === 0) continue;
        if (rule.kind === "common") c += product;
        else if (rule.kind === "smooth") s += product * smooth(distance, rule.length);
        else if (i === j) own[i * n + i] = own[i * n + i]! + product;
      }
      common[i * n + j] = c;
      common[j * n + i] = c;
      shape[i * n + j] = s;
      shape[j * n + i] = s;
    }
    own[i * n + i] = own[i * n + i]! + cellFloor ** 2;
  }
  return { common, shape, own };
}

/**
 * Squared exponential with a quarter of a rougher kernel, so that the prior does not bet the house on infinite smoothness.
 *
 * @source C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), section 4.2.
 */
function smooth(distance: number, length: number): number {
  const d = distance / length;
  const r = Math.sqrt(3) * d;
  return 0.8 * Math.exp(-0.5 * d * d) + 0.2 * (1 + r) * Math.exp(-r);
}

/** The prior with its common and shape parts scaled by variance factors. */
export function scaledPrior(parts: PriorParts, common: number, shape: number): Float64Array {
  const out = new Float64Array(parts.common.length);
  for (let i = 0; i < out.length; i++)
    out[i] = common * parts.common[i]! + shape * parts.shape[i]! + parts.own[i]!;
  return out;
}
