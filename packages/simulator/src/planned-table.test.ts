import { describe, expect, it } from "vitest";
import { developmentCars } from "./development-cars.js";
import { plannedTable, usualPlanError } from "./planned-table.js";
import { seededRandom } from "./random.js";

const truth = developmentCars[0]!.meter.trueCurve;

describe("plannedTable", () => {
  it("draws errors as large as its cells' budgets state, and correlated as the prior says", () => {
    const random = seededRandom(2);
    const draws = Array.from({ length: 3000 }, () =>
      plannedTable(truth, usualPlanError, random).cells.map((cell, i) =>
        Math.log(cell.flow / truth.cells[i]!.flow),
      ),
    );
    const budget = plannedTable(truth, usualPlanError, random).cells[20]!.budget;
    const stated = Math.hypot(budget.bore!, budget.profile!, budget.regrid!);
    const at = (i: number, j: number): number =>
      draws.reduce((sum, d) => sum + d[i]! * d[j]!, 0) / draws.length;
    // Standard error of a variance from 3,000 draws is 2.6 %; of the rms 1.3 %; limit three of them.
    expect(Math.abs(Math.sqrt(at(20, 20)) / stated - 1)).toBeLessThan(0.04);
    // Matern 5/2 between cells 10 and 20 in closed form.
    const e = usualPlanError;
    const apart = (Math.sqrt(5) * Math.log(truth.cells[20]!.flow / truth.cells[10]!.flow)) / e.length;
    const least = truth.cells[0]!.flow;
    const fade = [10, 20].map((i) => (truth.cells[i]!.flow / least) ** -e.fade);
    const expected =
      e.scale ** 2 +
      e.smooth ** 2 * (1 + apart + apart ** 2 / 3) * Math.exp(-apart) +
      e.lowFlow ** 2 * fade[0]! * fade[1]!;
    expect(Math.abs(at(10, 20) / expected - 1)).toBeLessThan(0.12);
  });

  it("stretches to a wanted size and shifts by a wanted factor", () => {
    const rms = plannedTable(truth, usualPlanError, seededRandom(3), { rms: 0.05 }).cells.map((cell, i) =>
      Math.log(cell.flow / truth.cells[i]!.flow),
    );
    expect(Math.sqrt(rms.reduce((sum, v) => sum + v * v, 0) / rms.length)).toBeCloseTo(0.05, 9);
    const none = { ...usualPlanError, smooth: 0, lowFlow: 0, cell: 0 };
    const shifted = plannedTable(truth, none, seededRandom(3), { commonOffset: -0.06 });
    for (const [i, cell] of shifted.cells.entries()) {
      expect(cell.flow / truth.cells[i]!.flow).toBeCloseTo(Math.exp(-0.06), 12);
    }
  });
});
