import { BellmouthError } from "../fault/index.js";
import { checkIncreasing, direction } from "./check.js";
import { type Curve, makeCurve } from "./curve.js";
import { quantise, type StorageFlag, type StorageFormat } from "./storage.js";

/** Storage of a curve: of its values, and of its breakpoints where the device stores those too. */
export interface CurveStorage {
  readonly x?: StorageFormat;
  readonly y?: StorageFormat;
}

export interface StoredCurve {
  /** The curve as the device holds it. */
  readonly curve: Curve;
  /** The same with values rounded but not clipped. */
  readonly unclipped: Curve;
  /** Flags of each breakpoint. */
  readonly xFlags: readonly (readonly StorageFlag[])[];
  /** Flags of each value. */
  readonly yFlags: readonly (readonly StorageFlag[])[];
}

/**
 * Rounds a curve to the device's storage. Values of a rising (falling) curve are kept rising (falling) where the
 * format has room; see `quantise`.
 *
 * @param storage formats in the units of the curve's axes; an axis without one is stored as it is
 * @throws `E_ORDER` when two breakpoints share a code, `E_DOMAIN` as `quantise`
 */
export function storeCurve(curve: Curve, storage: CurveStorage): StoredCurve {
  const x = storeAxis(curve.x.values, storage.x);
  const { y } = storage;
  const way = direction(curve.y.values);
  const keep = way === "rising" ? "increasing" : way === "falling" ? "decreasing" : "nothing";
  const stored = y === undefined ? undefined : quantise(curve.y.values, y, { keep });
  const withValues = (values: readonly number[]): Curve =>
    makeCurve({
      ...curve,
      x: { quantity: curve.x.quantity, values: x.values },
      y: { quantity: curve.y.quantity, values },
    });
  return {
    curve: withValues(stored?.values ?? curve.y.values),
    unclipped: withValues(stored?.unclipped ?? curve.y.values),
    xFlags: x.flags,
    yFlags: stored?.flags ?? curve.y.values.map(() => []),
  };
}

/** Breakpoints as stored. @throws `E_ORDER` when two share a code */
export function storeAxis(
  values: readonly number[],
  format: StorageFormat | undefined,
): { readonly values: readonly number[]; readonly flags: readonly (readonly StorageFlag[])[] } {
  if (format === undefined) return { values, flags: values.map(() => []) };
  const stored = quantise(values, format, { keep: "nothing" });
  const [clash] = checkIncreasing(stored.values);
  if (clash === undefined) return stored;
  throw new BellmouthError({
    code: "E_ORDER",
    message: "two breakpoints have the same stored value",
    found: `${values[clash.index - 1]} and ${values[clash.index]}, both stored as ${clash.value}`,
    accepted: `breakpoints at least ${format.step} apart, between ${format.from} and ${format.to}`,
    at: { path: `x.values[${clash.index}]` },
  });
}
