/** Collects the worst deviation over many values; a NaN anywhere makes the result NaN, which no limit accepts. */
export interface Worst {
  /** Relative deviation of `got` from `want`, or over `scale` when given (1 makes it absolute). */
  readonly add: (got: number, want: number, scale?: number) => void;
  /** The two members that an accuracy row takes from it. */
  readonly result: () => { readonly compared: number; readonly measured: number };
}

export function worst(): Worst {
  let compared = 0;
  let measured = 0;
  return {
    add(got, want, scale = Math.abs(want)) {
      const deviation = Math.abs(got - want) / scale;
      compared += 1;
      // Once NaN, it stays NaN.
      if (!Number.isNaN(measured) && !(deviation <= measured)) measured = deviation;
    },
    result: () => ({ compared, measured }),
  };
}

/** Number in a CSV cell; refuses an empty or unreadable one, so that no row is skipped unseen. */
export function cell(row: Record<string, string>, name: string): number {
  const text = row[name];
  if (text === undefined || text.trim() === "" || Number.isNaN(Number(text))) {
    throw new Error(`no number in column ${name}: ${JSON.stringify(row)}`);
  }
  return Number(text);
}
