/**
 * Why a moment of a drive is left out. One reason a row, the first that applies in this order.
 * missing: a channel the row needs has no sample near · cold: below the stated coolant temperature · outside the table:
 * signal past the table's ends · fuel cut: lambda far lean for longer than a spike, with the time it takes to recover ·
 * lambda at its limit: the sensor cannot show more · target unknown: rich at load without a logged target · trim saturated ·
 * open loop: trims alone tell the mixture and the short one rests at zero ·
 * settling: too soon after the start, a gap or a left-out stretch for the exhaust to be known.
 */
export const gateReasons = [
  "missing",
  "cold",
  "outside the table",
  "fuel cut",
  "lambda at its limit",
  "target unknown",
  "trim saturated",
  "open loop",
  "settling",
] as const;
export type GateReason = (typeof gateReasons)[number];

/** Rows by reason, and rows used. Reasons that never applied are left out. */
export interface GateCounts {
  readonly rows: number;
  readonly used: number;
  readonly left: { readonly [reason in GateReason]?: number };
}

/** 0 for a row that is used, else 1 + the reason's place in `gateReasons`. */
export type GateCode = number;

export const gateCode = (reason: GateReason): GateCode => gateReasons.indexOf(reason) + 1;

/** Counts rows by reason. */
export function countGates(codes: Uint8Array): GateCounts {
  const counts = new Array<number>(gateReasons.length + 1).fill(0);
  for (const code of codes) counts[code]!++;
  const left: { [reason in GateReason]?: number } = {};
  gateReasons.forEach((reason, i) => {
    if (counts[i + 1]! > 0) left[reason] = counts[i + 1]!;
  });
  return { rows: codes.length, used: counts[0]!, left };
}

/** Adds counts, reason by reason. */
export function addGates(a: GateCounts, b: GateCounts): GateCounts {
  const left: { [reason in GateReason]?: number } = { ...a.left };
  for (const reason of gateReasons) {
    const more = b.left[reason];
    if (more !== undefined) left[reason] = (left[reason] ?? 0) + more;
  }
  return { rows: a.rows + b.rows, used: a.used + b.used, left };
}

/**
 * Range that a lambda sensor can show, from the log: an extreme that is read again and again is the end of its range.
 *
 * @returns ends [1]; infinite where the log shows none
 */
export function lambdaLimits(lambda: Float64Array): { readonly least: number; readonly greatest: number } {
  let least = Number.POSITIVE_INFINITY;
  let greatest = Number.NEGATIVE_INFINITY;
  for (const value of lambda) {
    if (value < least) least = value;
    if (value > greatest) greatest = value;
  }
  let low = 0;
  let high = 0;
  for (const value of lambda) {
    if (value <= least * 1.002) low++;
    if (value >= greatest * 0.998) high++;
  }
  return {
    least: low >= 5 && least < 0.85 ? least * 1.004 : 0,
    greatest: high >= 5 && greatest > 1.15 ? greatest * 0.996 : Number.POSITIVE_INFINITY,
  };
}
