import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import {
  BUDGET_COMPONENTS,
  budgetCovariance,
  combinedUncertainty,
  type ErrorBudget,
  type Housing,
  makeTransferCurve,
  monteCarloRescale,
  type TransferCurve,
} from "../../sensor/index.js";
import { celsius, mm, mm2 } from "../../units/index.js";
import { priorOf, STATED_FLOORS } from "./prior.js";

/** The prior at the cells, its parts added. */
const priorWhole = (curve: TransferCurve): Float64Array => {
  const { common, shape } = priorOf(curve);
  return shape.map((value, i) => value + (common[i] as number));
};

const flows = [0.002, 0.0031, 0.005, 0.012, 0.04, 0.11, 0.3];
const tableWith = (budget: (i: number) => ErrorBudget) =>
  makeTransferCurve({
    signal: "voltage",
    outside: "hold",
    cells: flows.map((flow, i) => ({
      signal: 1 + i,
      flow,
      origin: "rescaled",
      budget: budget(i),
      flags: [],
    })),
  });

/** Square of the prior's u and of the plan's with the stated floors, cell by cell. */
function squares(budget: (i: number) => ErrorBudget): readonly (readonly [number, number])[] {
  const curve = tableWith(budget);
  const prior = priorWhole(curve);
  const n = flows.length;
  return curve.cells.map((cell, i) => [
    prior[i * n + i] as number,
    combinedUncertainty(cell.budget) ** 2 + STATED_FLOORS.cell ** 2 + STATED_FLOORS.smooth ** 2,
  ]);
}

describe("the prior of a refinement is the plan's budget", () => {
  it.each(BUDGET_COMPONENTS)("S11: %s alone: plan u^2 + stated floors^2 = prior u^2", (component) => {
    for (const [prior, plan] of squares((i) => ({ [component]: 0.01 + 0.007 * i })))
      expect(prior / plan).toBeCloseTo(1, 12);
  });
  it("S11: and any mixture of them", () => {
    const random = seededRandom(11);
    for (let k = 0; k < 200; k++) {
      const budgets = flows.map(() =>
        Object.fromEntries(
          BUDGET_COMPONENTS.filter(() => random.uniform() < 0.5).map((name) => [
            name,
            0.1 * random.uniform(),
          ]),
        ),
      );
      for (const [prior, plan] of squares((i) => budgets[i] as ErrorBudget))
        expect(prior / plan).toBeCloseTo(1, 12);
    }
  });
  it("S11: two cells hang together in it as in the plan", () => {
    const curve = tableWith(() => ({
      bore: 0.02,
      development: 0.05,
      profile: 0.01,
      law: 0.03,
      element: 0.02,
    }));
    const prior = priorWhole(curve);
    const none = priorWhole(tableWith(() => ({})));
    const plan = budgetCovariance(curve);
    for (let i = 0; i < flows.length; i++)
      for (let j = 0; j < flows.length; j++)
        expect((prior[i * flows.length + j] as number) - (none[i * flows.length + j] as number)).toBeCloseTo(
          plan[i]?.[j] as number,
          12,
        );
  });
  it("S11: and Monte Carlo draws spread as it says, component by component", () => {
    const housing: Housing = {
      section: { shape: "round", bore: { value: mm(70), u: mm(0) } },
      blockage: { value: mm2(0), u: mm2(0) },
      element: { from: 0.05, to: 0.25 },
      run: "developed",
      upstream: "bellmouth",
      step: mm(0),
    };
    const air = { temperature: celsius(20) };
    for (const component of BUDGET_COMPONENTS) {
      const curve = tableWith(() => ({ [component]: 0.03 }));
      // The same housing on both sides: what is drawn is the given table's own error.
      const { cells } = monteCarloRescale(
        curve,
        { from: housing, to: housing, air },
        { random: seededRandom(5), draws: 20_000 },
      );
      // The standard error of a standard deviation from 20,000 draws is 0.5 %.
      for (const { u } of cells) expect(Math.abs(u / 0.03 - 1)).toBeLessThan(0.02);
    }
  });
});
