import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { LawPoint } from "./transfer-law.js";

/** Points as columns, in rising order of signal (the order given cannot matter). */
export interface LawData {
  readonly signal: readonly number[];
  /** ln(flow) */
  readonly y: readonly number[];
  /** 1/u^2, or 1 when no uncertainties are given */
  readonly weight: readonly number[];
}

/**
 * Checks points and puts them in rising order of signal.
 *
 * @throws `E_TOO_LITTLE_DATA` with fewer than `least` points, `E_DOMAIN` on NaN and on signals, flows or uncertainties
 *   that are not above zero, `E_SHAPE` when only some points have an uncertainty, `E_SINGULAR` with fewer than three
 *   different signals
 */
export function lawData(points: readonly LawPoint[], least: number): LawData {
  if (points.length < least) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "too few points to fit this law and judge the fit",
      found: `${points.length} points`,
      accepted: `${least} or more`,
      at: { path: "points" },
    });
  }
  points.forEach((point, i) => {
    requireNumber(point.signal, `points[${i}].signal`, "Hz or V", { over: 0 });
    requireNumber(point.flow, `points[${i}].flow`, "kg/s", { over: 0 });
    if (point.u !== undefined) requireNumber(point.u, `points[${i}].u`, "1", { over: 0 });
  });
  const known = points.filter((point) => point.u !== undefined).length;
  if (known !== 0 && known !== points.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "give an uncertainty for every point or for none",
      found: `${known} of ${points.length}`,
      accepted: `0 or ${points.length}`,
      at: { path: "points[*].u" },
    });
  }
  const sorted = [...points].sort((a, b) => a.signal - b.signal || a.flow - b.flow);
  const different = new Set(sorted.map((point) => point.signal)).size;
  if (different < 3) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: "points at fewer than three signals do not show how the curve bends",
      found: `${different} different signals`,
      accepted: "three or more",
      at: { path: "points[*].signal" },
    });
  }
  return {
    signal: sorted.map((point) => point.signal),
    y: sorted.map((point) => Math.log(point.flow)),
    weight: sorted.map((point) => (point.u === undefined ? 1 : point.u ** -2)),
  };
}
