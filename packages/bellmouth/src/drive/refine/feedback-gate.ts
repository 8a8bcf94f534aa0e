/** What a drive that only trims tell is judged by, row by row. */
export interface FeedbackRows {
  /** [kg/s] */
  readonly metered: Float64Array;
  /** [rev/s]; NaN where not logged */
  readonly speed: Float64Array;
  /** Manifold over outside pressure [1]; NaN where not logged */
  readonly pressureRatio: Float64Array;
  /** [1]; NaN where not logged */
  readonly throttle: Float64Array;
  readonly gate: Uint8Array;
  /** [s] */
  readonly step: number;
}

/**
 * Where feedback rests. Overrun: faster than this times idle at less than this times idle's load; and this long after. Open loop: more load or
 * throttle than this; and this long after. Common practice, no source; the loop's way back from nine simulated cars (docs/decisions/0008).
 */
const overrun = { speed: 1.35, load: 0.9, after: 4 } as const;
const openLoop = { load: 0.85, throttle: 0.7, after: 2 } as const;

/** The value below which a share of what is known lies; NaN where nothing is. */
function quantile(values: Float64Array, share: number, where: (t: number) => boolean = () => true): number {
  const known = values.filter((value, t) => value > 0 && where(t)).sort();
  return known.length === 0 ? Number.NaN : known[Math.floor(share * (known.length - 1))]!;
}

/**
 * Leaves out the rows of a trims-only drive where no feedback acts: trims stand still there or wind up, and tell nothing of the table.
 * Load is the manifold's pressure, or air per revolution over the most of it where that is not logged.
 */
export function gateWhereFeedbackRests(
  rows: FeedbackRows,
  codes: { readonly cut: number; readonly open: number },
): void {
  const { metered, speed, throttle, gate, step } = rows;
  const n = gate.length;
  let load = rows.pressureRatio;
  if (!load.some((value) => value > 0)) {
    const perTurn = Float64Array.from({ length: n }, (_, t) =>
      speed[t]! > 3 ? metered[t]! / speed[t]! : Number.NaN,
    );
    const most = quantile(perTurn, 0.99);
    load = perTurn.map((value) => value / most);
  }
  const idleSpeed = quantile(speed, 0.05, (t) => speed[t]! > 3);
  const idleLoad = quantile(load, 0.5, (t) => speed[t]! < 1.15 * idleSpeed);
  const closed = quantile(throttle, 0.02) + 0.01;
  let since = Number.POSITIVE_INFINITY;
  let rested = Number.POSITIVE_INFINITY;
  for (let t = 0; t < n; t++) {
    const fast = speed[t]! > overrun.speed * idleSpeed;
    const coasts = fast && (load[t]! < overrun.load * idleLoad || throttle[t]! <= closed);
    since = coasts ? 0 : since + step;
    rested = load[t]! > openLoop.load || throttle[t]! > openLoop.throttle ? 0 : rested + step;
    if (gate[t] !== 0) continue;
    if (since <= overrun.after) gate[t] = codes.cut;
    else if (rested <= openLoop.after) gate[t] = codes.open;
  }
}
