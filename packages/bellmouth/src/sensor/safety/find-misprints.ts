import { BellmouthError, requireNumber } from "../../fault/index.js";
// Not from the room's index, which brings matrix code with it.
import { chebyshevRow } from "../../fit/chebyshev.js";
import { studentTQuantile } from "../../fit/distributions.js";

export interface MisprintOptions {
  /** Step in which the flows were written [kg/s] > 0; what rounding alone can do is no misprint. None when left out. */
  readonly step?: number;
}

/** A cell that does not fit the others of its table. */
export interface Misprint {
  /** Index of the cell. */
  readonly cell: number;
  /** Signal [Hz] or [V] and flow [kg/s] as given. */
  readonly signal: number;
  readonly flow: number;
  /** Flow that the other cells lead to [kg/s]. */
  readonly expected: number;
  /** Given over expected flow, less one [1]. */
  readonly deviation: number;
  /** Deviation from which a cell at this place is told [1]. */
  readonly limit: number;
}

export interface TableScatter {
  readonly misprints: readonly Misprint[];
  /** Scatter of the other cells about one smooth curve [1], relative, one standard deviation. */
  readonly scatter: number;
  /** Deviation that is found in 95 of 100 cases in an inner cell [1]; null where the table is too short or too long. */
  readonly detectable: number | null;
}

/** Fewest cells with flow that are judged. */
const LEAST_CELLS = 12;
/** Most: longer lists are recordings, which no polynomial of degree eight describes. */
const MOST_CELLS = 4096;
/** A table is taken to scatter by this at least [1]: below it, that no polynomial is the element's law shows. */
const LEAST_SCATTER = 0.002;
/** Deviations below this are never told [1]. */
const LEAST_DEVIATION = 0.01;
/** Chance of telling of a misprint in a table that has none. */
const FALSE_ALARMS = 0.01;
/** Cells at either end that are judged by twice the limit: there the curve is held from one side only. */
const ENDS = 2;
/** Most misprints told of one table; a table with more is none. */
const MOST = 3;
/** Shares of the least signal, squared, taken off before the logarithm: none for a power law, more near a threshold. */
const OFFSETS = [0, 0.35, 0.6, 0.8, 0.9, 0.96, 0.99];
/**
 * How much the limit is raised over Student's for having chosen the curve by the same cells: by trial on tables of six
 * families, for false alarms of less than 1 % from 20 to 90 cells.
 */
const chosen = (count: number): number => 0.97 + 5.5 / count;

interface Cell {
  readonly index: number;
  readonly signal: number;
  readonly flow: number;
  /** Weight of its logarithm [1]: one, less where rounding counts. */
  readonly weight: number;
}

/**
 * Cells of a table that no smooth curve through the others allows: misprints, or slips of a digit.
 *
 * ln(flow) is fitted by polynomials in ln(signal) and in ln(signal^2 - a), the form of King's law, of degree 3 to 8; the
 * best by the corrected Akaike criterion counts, its worst cell left out of the count. Each cell is then judged as
 * left out of the fit, against the scatter of the others: the limit comes from the data and not from a stated accuracy. A
 * cell found is taken out and the rest judged again.
 *
 * @param signals [Hz] or [V], > 0 and rising where flow is not zero
 * @param flows   [kg/s] >= 0; cells without flow are passed over
 * @throws `E_SHAPE` on unequal lengths, `E_DOMAIN` on a number that is none, a negative, or a step that is not positive
 * @source externally studentised residuals: R. D. Cook and S. Weisberg, Residuals and Influence in Regression (1982), ch.
 *   2; criterion: C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297
 * @example
 * const signals = Array.from({ length: 24 }, (_, i) => 1 + i * 0.15);
 * const flows = signals.map((v, i) => 0.002 * v ** 3.1 * (i === 12 ? 0.95 : 1));
 * findMisprints(signals, flows).misprints[0].cell // ≈ 12
 */
export function findMisprints(
  signals: readonly number[],
  flows: readonly number[],
  options: MisprintOptions = {},
): TableScatter {
  if (signals.length !== flows.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "as many flows as signals are needed",
      found: `${flows.length} flows, ${signals.length} signals`,
      accepted: "one flow a signal",
      at: { path: "flows" },
    });
  }
  const step =
    options.step === undefined ? 0 : requireNumber(options.step, "options.step", "kg/s", { over: 0 });
  let cells = signals.flatMap((signal, index): Cell[] => {
    const flow = requireNumber(flows[index] as number, `flows[${index}]`, "kg/s", { from: 0 });
    requireNumber(signal, `signals[${index}]`, "1", { from: 0 });
    if (flow === 0 || signal === 0) return [];
    const rounding = step / Math.sqrt(12) / flow;
    return [{ index, signal, flow, weight: 1 / (1 + (rounding / LEAST_SCATTER) ** 2) }];
  });
  const misprints: Misprint[] = [];
  for (;;) {
    if (cells.length < LEAST_CELLS || cells.length > MOST_CELLS)
      return { misprints, scatter: 0, detectable: null };
    const judged = judge(cells, step);
    if (judged.worst === undefined || misprints.length === MOST) {
      return { misprints, scatter: judged.scatter, detectable: judged.detectable };
    }
    const { index } = judged.worst;
    misprints.push(judged.worst.misprint);
    cells = cells.filter((cell) => cell.index !== index);
  }
}

/** Residuals of a weighted polynomial fit, each with its leverage, and the sum of squares without the worst cell. */
interface PolynomialFit {
  readonly residuals: readonly number[];
  readonly leverages: readonly number[];
  readonly squares: number;
  readonly parameters: number;
  readonly score: number;
}

/** Fit on orthonormal columns, made so twice over for the sake of high degrees. */
function fitPolynomial(
  x: readonly number[],
  y: readonly number[],
  weights: readonly number[],
  degree: number,
  offset: number,
): PolynomialFit {
  const count = x.length;
  const [from, to] = [x[0] as number, x[count - 1] as number];
  const rows = x.map((value) => chebyshevRow(value, from, to, degree));
  const basis: number[][] = [];
  const residuals = y.map((value, i) => value * Math.sqrt(weights[i] as number));
  const leverages = new Array<number>(count).fill(0);
  for (let k = 0; k <= degree; k++) {
    const column = rows.map((row, i) => (row[k] as number) * Math.sqrt(weights[i] as number));
    for (let pass = 0; pass < 2; pass++) for (const other of basis) takeOff(column, other);
    const length = Math.sqrt(column.reduce((sum, value) => sum + value * value, 0));
    const unit = column.map((value) => value / length);
    basis.push(unit);
    takeOff(residuals, unit);
    unit.forEach((value, i) => {
      leverages[i] = (leverages[i] as number) + value * value;
    });
  }
  const squares = residuals.reduce((sum, value) => sum + value * value, 0);
  const drop = residuals.reduce(
    (most, value, i) => Math.max(most, (value * value) / Math.max(1 - (leverages[i] as number), 1e-9)),
    0,
  );
  const parameters = degree + 1 + (offset > 0 ? 1 : 0);
  const score =
    count * Math.log(Math.max(squares - drop, 1e-30)) + (2 * parameters * count) / (count - parameters - 2);
  return { residuals, leverages, squares, parameters, score };
}

function takeOff(column: number[], unit: readonly number[]): void {
  let along = 0;
  for (let i = 0; i < column.length; i++) along += (column[i] as number) * (unit[i] as number);
  for (let i = 0; i < column.length; i++) column[i] = (column[i] as number) - along * (unit[i] as number);
}

function bestFit(cells: readonly Cell[]): PolynomialFit {
  const count = cells.length;
  const y = cells.map(({ flow }) => Math.log(flow));
  const weights = cells.map(({ weight }) => weight);
  const least = (cells[0] as Cell).signal;
  const [low, high] = count < 24 ? [3, 6] : count < 40 ? [3, 7] : [4, 8];
  let best: PolynomialFit | undefined;
  for (const offset of OFFSETS) {
    const x = cells.map(({ signal }) => Math.log(signal * signal - offset * least * least));
    for (let degree = low; degree <= high && count - degree - 2 >= 5; degree++) {
      const fit = fitPolynomial(x, y, weights, degree, offset);
      if (best === undefined || fit.score < best.score) best = fit;
    }
  }
  return best as PolynomialFit;
}

function judge(
  cells: readonly Cell[],
  step: number,
): {
  readonly worst: { readonly index: number; readonly misprint: Misprint } | undefined;
  readonly scatter: number;
  readonly detectable: number;
} {
  const count = cells.length;
  const { residuals, leverages, squares, parameters } = bestFit(cells);
  const degrees = count - parameters - 1;
  const quantile = studentTQuantile(1 - FALSE_ALARMS / (2 * count), degrees) * chosen(count);
  const scatter = Math.max(LEAST_SCATTER, Math.sqrt(squares / (count - parameters)));
  let worst: { readonly index: number; readonly misprint: Misprint; readonly times: number } | undefined;
  cells.forEach((cell, i) => {
    const residual = residuals[i] as number;
    const free = Math.max(1 - (leverages[i] as number), 1e-9);
    const others = Math.sqrt(Math.max(squares - (residual * residual) / free, 0) / degrees);
    // Of the given over the expected flow, in logarithms.
    const apart = residual / free / Math.sqrt(cell.weight);
    const own = (Math.max(LEAST_SCATTER, others) * quantile) / Math.sqrt(free * cell.weight);
    const limit = Math.max(
      own * (i < ENDS || i >= count - ENDS ? 2 : 1),
      LEAST_DEVIATION,
      (1.5 * step) / cell.flow,
    );
    const times = Math.abs(apart) / limit;
    if (!(times > 1) || times <= (worst?.times ?? 0)) return;
    const misprint: Misprint = {
      cell: cell.index,
      signal: cell.signal,
      flow: cell.flow,
      expected: cell.flow * Math.exp(-apart),
      deviation: Math.expm1(apart),
      limit: Math.expm1(limit),
    };
    worst = { index: cell.index, misprint, times };
  });
  const free = 1 - parameters / count;
  // The limit, and 1.645 standard deviations of the cell itself on top.
  const detectable = Math.max(LEAST_DEVIATION, (scatter * (quantile + 1.645)) / Math.sqrt(free));
  return { worst, scatter, detectable };
}
