import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";
import type { CarSpec } from "./car-spec.js";

/** Area of the old housing over the new one [1]. */
const AREA = 0.68;

/**
 * The car as it was before the swap: a smaller housing, so that the same signal meant less air, and a factory table that is
 * right. A drive of it shows what the fuel side alone gets wrong.
 */
export function withOldMeter(car: CarSpec): { readonly car: CarSpec; readonly table: TransferCurve } {
  const table = makeTransferCurve({
    ...car.meter.trueCurve,
    cells: car.meter.trueCurve.cells.map((cell) => ({
      ...cell,
      flow: AREA * cell.flow,
      // Good to half a per cent, as the maker's tolerance goes; common practice, no source.
      budget: { element: 0.005 },
    })),
  });
  return { car: { ...car, meter: { ...car.meter, trueCurve: table } }, table };
}
