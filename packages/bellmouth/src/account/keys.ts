import { figure, unitSign } from "../text/index.js";
import type { AccountFigure } from "./account.js";

/** A result's deciding figure in words. */
export const figuresOf = (
  figures: readonly {
    readonly name: string;
    readonly value: number;
    readonly low: number | null;
    readonly high: number | null;
    readonly unit: string;
    readonly meaning: string;
  }[],
): readonly AccountFigure[] =>
  figures.map(({ name, value, low, high, unit, meaning }) => ({
    name,
    value: `${figure(value)} ${unitSign(unit)}`,
    interval:
      low === null || high === null ? "" : `95 %: ${figure(low)} to ${figure(high)} ${unitSign(unit)}`,
    meaning,
  }));
