import type { AccuracyRow } from "../../support/accuracy.js";
import type { Special, SpecialScore } from "./special.js";

const SOURCE = "tests/bench/refine/score.mjs, simulated cars that the method was not developed on";

/** Rows for docs/accuracy.md of the special questions; limits stated before anything was measured. */
export function specialRows(scores: readonly SpecialScore[]): AccuracyRow[] {
  const common = { area: "Refinement", evidence: "simulation" as const, source: SOURCE };
  const of = (special: Special) => {
    const own = scores.filter((score) => score.special === special);
    const total = (name: string): number => own.reduce((sum, score) => sum + score.figures[name]!, 0);
    const most = (name: string): number => own.reduce((top, score) => Math.max(top, score.figures[name]!), 0);
    return {
      count: own.length,
      total,
      most,
      rms: (name: string) => 100 * Math.sqrt(total(name) / total("cells")),
    };
  };
  const rows: AccuracyRow[] = [];
  const passes = of("two passes");
  if (passes.count > 0) {
    rows.push(
      {
        ...common,
        id: "refine-two-passes",
        what: "flow error over the driven cells after two passes, from a start 5 % rms off",
        compared: passes.total("cells"),
        measured: passes.rms("afterTwo"),
        limit: 1,
        unit: "% rms",
      },
      {
        ...common,
        id: "refine-never-worse",
        what: "evidenced cells that a pass left further off than before by more than their interval",
        compared: 2 * passes.total("cells"),
        measured: passes.total("worsened"),
        limit: 0,
        unit: "cells",
      },
    );
  }
  const injectors = of("injector error");
  if (injectors.count > 0) {
    rows.push(
      {
        ...common,
        id: "refine-injectors",
        what: "flow error with injectors 5 % off and a drive with the old meter",
        compared: injectors.total("cells"),
        measured: injectors.rms("withOldMeter"),
        limit: 0.7,
        unit: "% rms",
      },
      {
        ...common,
        id: "refine-injectors-said",
        what: "drives with injectors 5 % off and no old-meter drive whose report does not say that scale cannot be told apart",
        compared: injectors.count,
        measured: injectors.count - injectors.total("saidScale"),
        limit: 0,
        unit: "drives",
      },
    );
  }
  const late = of("late lambda");
  if (late.count > 0) {
    rows.push({
      ...common,
      id: "refine-late-lambda",
      what: "largest move of a driven cell when lambda is stamped 0.2 s late",
      compared: late.total("cells"),
      measured: 100 * late.most("worstMoved"),
      limit: 0.3,
      unit: "%, worst",
    });
  }
  return rows;
}
