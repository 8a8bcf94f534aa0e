import { figure } from "../text/index.js";

/** An interval as it is found in results: an end that the data did not set is null. */
export interface Span {
  readonly from: number | null;
  readonly to: number | null;
  readonly confidence: number;
}

/** `295 to 428 Pa`, or null where an end is open. `show` takes SI to the unit. */
export function spanWords(
  span: Span | null,
  show: (si: number) => number,
  unit: string,
  digits = 3,
): string | null {
  if (span === null || span.from === null || span.to === null) return null;
  const [low, high] = [show(span.from), show(span.to)].sort((a, b) => a - b) as [number, number];
  return `${figure(low, digits)} to ${figure(high, digits)} ${unit}`;
}

/** The number of a missing one is a gap. */
export const orGap = (value: number | null | undefined): number => value ?? Number.NaN;

/** `95 % interval` in the confidence that the result was made with. */
export const level = (confidence: number): string => `${figure(100 * confidence, 2)} %`;
