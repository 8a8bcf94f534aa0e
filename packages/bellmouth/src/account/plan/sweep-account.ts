import type { PlanResult, SweepPlan } from "../../stage/index.js";
import { chance, columnDecimals, fixed, inUnit, percent } from "../../text/index.js";
import type { Account, AccountTable } from "../account.js";
import { typedDecimals } from "./airflow-entry.js";
import { sweepFigures } from "./room-figures.js";

/** What a range of bores would do; null where the document asks for none. */
export function sweepAccount(plan: PlanResult): Account | null {
  const { sweep } = plan;
  if (sweep === null) return null;
  return {
    kind: "sweep",
    label: "Bores",
    title: plan.title,
    verdict: {
      level: "told",
      words:
        sweep.chosen === null
          ? "No bore meets the limits"
          : `Smallest bore that serves: ${inUnit(sweep.chosen, "mm", "length")}`,
      sentence: sweep.sentence,
    },
    figures: [],
    findings: [],
    entry: [],
    lead: sweepFigures(plan),
    steps: [],
    stop: null,
    sections: [
      { id: "bores", title: "Bore by bore", text: [], tables: [boreTable(plan, sweep)], figures: [] },
    ],
    cautions: plan.cautions,
  };
}

/** Each bore: flow at one signal over the present housing's, each demand's signal and chance, idle, drop, limits met or not. */
export function boreTable(plan: PlanResult, sweep: SweepPlan): AccountTable {
  const bores = sweep.rows.map((row) => 1000 * row.bore);
  const drops = sweep.rows.flatMap((row) => (row.drop === null ? [] : [row.drop.value + 1.96 * row.drop.u]));
  const decimals = columnDecimals(drops, 3);
  const right = { align: "right" } as const;
  return {
    id: "bores",
    caption: "Bores",
    hint: "Flow ratio: flow at one signal over the flow in the present housing. Drop: of the housing at the greatest demand, low and high of its 95 % interval.",
    columns: [
      { name: "bore", unit: "mm", ...right },
      { name: "flow ratio", unit: "", ...right },
      ...plan.headroom.scenarios.flatMap(({ name }) => [
        { name, unit: "% of usable", ...right },
        { name: "chance", unit: "", ...right, wide: true },
      ]),
      { name: "step at idle", unit: "%", ...right, wide: true },
      ...(drops.length === 0
        ? []
        : [
            { name: "drop, low", unit: "Pa", ...right },
            { name: "high", unit: "Pa", ...right },
          ]),
      { name: "meets the limits", unit: "", align: "left" },
    ],
    rows: sweep.rows.map((row, i) => ({
      cells: [
        fixed(bores[i] as number, typedDecimals(bores)),
        fixed(row.flowRatio, 3),
        ...row.scenarios.flatMap(({ share, chanceOver }) => [fixed(100 * share, 1), chance(chanceOver)]),
        row.idleStepShare === null ? "–" : percent(row.idleStepShare, 2).replace(" %", ""),
        ...(drops.length === 0
          ? []
          : row.drop === null
            ? ["–", "–"]
            : [
                fixed(Math.max(0, row.drop.value - 1.96 * row.drop.u), decimals),
                fixed(row.drop.value + 1.96 * row.drop.u, decimals),
              ]),
        row.meets ? "yes" : `no: ${row.fails.join("; ")}`,
      ],
    })),
    brief: true,
  };
}
