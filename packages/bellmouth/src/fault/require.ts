import { BellmouthError } from "./bellmouth-error.js";

/** Range of a number; a missing end is open. `over`/`under` exclude the end itself, `from`/`to` include it. */
export interface NumberRange {
  readonly over?: number;
  readonly from?: number;
  readonly under?: number;
  readonly to?: number;
}

/**
 * Returns `value` when it is a finite number inside `range`, else throws `E_DOMAIN`. NaN always fails.
 *
 * @param value what the caller gave
 * @param path  where it stands, for example `state.pressure`
 * @param unit  SI unit named in the message, for example `Pa`; use `1` for a ratio
 * @param range accepted range, in the same unit
 */
export function requireNumber<T extends number>(
  value: T,
  path: string,
  unit: string,
  range: NumberRange = {},
): T {
  // Written so that NaN fails every comparison.
  const inside =
    Number.isFinite(value) &&
    (range.over === undefined || value > range.over) &&
    (range.from === undefined || value >= range.from) &&
    (range.under === undefined || value < range.under) &&
    (range.to === undefined || value <= range.to);
  if (inside) return value;
  const shown = unit === "1" ? "" : ` ${unit}`;
  const bounds = [
    range.over === undefined ? undefined : `> ${range.over}${shown}`,
    range.from === undefined ? undefined : `>= ${range.from}${shown}`,
    range.under === undefined ? undefined : `< ${range.under}${shown}`,
    range.to === undefined ? undefined : `<= ${range.to}${shown}`,
  ].filter((bound) => bound !== undefined);
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: "number outside the accepted range",
    found: typeof value === "number" ? `${value}${shown}` : String(value),
    accepted:
      bounds.length === 0 ? `a finite number${shown === "" ? "" : ` in${shown}`}` : bounds.join(" and "),
    at: { path },
  });
}
