import type { Column } from "./picture.js";

/** Ends of an interval for a bar, where it has both. */
export function range(
  one: { readonly from: number | null; readonly to: number | null },
  show: (si: number) => number,
): { readonly low?: number; readonly high?: number } {
  return one.from === null || one.to === null ? {} : { low: show(one.from), high: show(one.to) };
}

type Ends = { readonly from: number | null; readonly to: number | null } | null;

/** Two columns of a data table: the ends of an interval. */
export function ends<T>(
  list: readonly T[],
  pick: (one: T) => Ends,
  show: (si: number) => number,
  name: string,
  unit: string,
): readonly Column[] {
  const bracket = unit === "" ? "" : ` [${unit}]`;
  const column = (side: "from" | "to") => ({
    name: `${name} ${side}${bracket}`,
    values: list.map((one) => {
      const end = pick(one)?.[side] ?? null;
      return end === null ? Number.NaN : show(end);
    }),
    digits: 4,
  });
  return [column("from"), column("to")];
}
