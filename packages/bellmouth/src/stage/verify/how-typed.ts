/** What a cell is compared with, all in the unit in which it was typed. */
export interface TypedCell {
  readonly meant: number;
  readonly executed: number;
  /** how near two values must be to count as the same */
  readonly within: number;
  readonly before: number | undefined;
  readonly after: number | undefined;
  /** value of the former table, where there is one */
  readonly former: number | undefined;
}

/** What was probably typed instead, in words. */
export function howTyped({ meant, executed, within, before, after, former }: TypedCell): string {
  const near = (value: number | undefined): boolean =>
    value !== undefined && Math.abs(value - executed) <= within;
  if (near(former)) return "still the former table's value: skipped";
  const rounded = roundedTo(meant, executed, within);
  if (rounded !== undefined) return `rounded to steps of ${rounded}`;
  if (near(before)) return "the value of the cell before";
  if (near(after)) return "the value of the cell after: one was skipped";
  if ([-2, -1, 1, 2].some((power) => near(meant * 10 ** power))) return "the decimal point in another place";
  if (swapped(meant).some(near)) return "two digits swapped";
  return "another value";
}

/** The finest decimal step to which the meant value was rounded or cut. */
function roundedTo(meant: number, executed: number, within: number): number | undefined {
  for (const step of [0.001, 0.01, 0.1, 1, 10]) {
    const off = Math.abs(executed - meant);
    if (off > step + within) continue;
    const ends = [Math.round(meant / step) * step, Math.trunc(meant / step) * step];
    if (ends.some((value) => Math.abs(value - executed) <= Math.min(within, step / 4))) return step;
  }
  return undefined;
}

function swapped(value: number): readonly number[] {
  const text = String(Number(value.toPrecision(6)));
  const digits = [...text].map((_, i) => i).filter((i) => text[i] !== ".");
  return digits.slice(1).map((at, k) => {
    const characters = [...text];
    const from = digits[k] as number;
    [characters[from], characters[at]] = [characters[at] as string, characters[from] as string];
    return Number(characters.join(""));
  });
}
