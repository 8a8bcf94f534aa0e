import { BellmouthError, requireNumber } from "../fault/index.js";
import { requireSameLength } from "./check.js";

export interface ResampleOptions {
  /** Widest gap between two samples that a straight line may bridge [unit of x], > 0. */
  readonly bridge: number;
}

/**
 * Reads an unevenly sampled record at other places by straight lines between neighbouring samples.
 *
 * Missing samples (NaN) are passed over. The result is NaN (missing) where no line may be drawn: before the first and
 * after the last sample, and inside gaps wider than `bridge`. Of several samples at one x the last counts.
 *
 * @param x  places of the samples, never falling, finite
 * @param y  values at `x`, any unit
 * @param at places to read, never falling
 * @returns values at `at`, in the unit of y
 * @throws `E_SHAPE` on unequal lengths, `E_ORDER` when a list of places falls or holds NaN, `E_DOMAIN` on `bridge`
 * @example
 * resampleUneven([0, 1, 5], [2, 4, 6], [0.5, 3], { bridge: 2 })[0] // ≈ 3
 */
export function resampleUneven(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  at: ArrayLike<number>,
  options: ResampleOptions,
): Float64Array {
  requireSameLength(x.length, y.length, "y");
  requireNumber(options.bridge, "bridge", "1", { over: 0 });
  requireNeverFalling(x, "x");
  requireNeverFalling(at, "at");
  const out = new Float64Array(at.length).fill(Number.NaN);
  let left = -1;
  let right = nextKnown(y, 0);
  for (let k = 0; k < at.length; k++) {
    const place = at[k] as number;
    while (right < x.length && (x[right] as number) <= place) {
      left = right;
      right = nextKnown(y, right + 1);
    }
    if (left < 0) continue;
    const x0 = x[left] as number;
    const y0 = y[left] as number;
    if (place === x0) out[k] = y0;
    else if (right < x.length && (x[right] as number) - x0 <= options.bridge) {
      out[k] = y0 + (((y[right] as number) - y0) * (place - x0)) / ((x[right] as number) - x0);
    }
  }
  return out;
}

function nextKnown(y: ArrayLike<number>, from: number): number {
  let i = from;
  while (i < y.length && Number.isNaN(y[i] as number)) i++;
  return i;
}

function requireNeverFalling(values: ArrayLike<number>, path: string): void {
  let previous = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (!(value >= previous)) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "places must not fall",
        found: `${value} after ${previous}`,
        accepted: `${previous} or more`,
        at: { path: `${path}[${i}]` },
      });
    }
    previous = value;
  }
}
