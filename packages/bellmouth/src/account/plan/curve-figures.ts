import type { PlanResult } from "../../stage/index.js";
import { figure, percent } from "../../text/index.js";
import type { Figure } from "../picture.js";
import { shownUnits } from "./units.js";

/** What scaling by area alone would miss. */
export function areaFigure(plan: PlanResult): Figure {
  const { flow, flowUnit } = shownUnits(plan);
  const cells = plan.airflow.cells.filter((cell) => cell.wanted > 0);
  const ratios = cells.map((cell) => cell.overAreaOnly);
  const worst = ratios.reduce((a, b) => (Math.abs(b - 1) > Math.abs(a - 1) ? b : a), 1);
  const top = ratios[ratios.length - 1] ?? 1;
  return {
    id: "area-only",
    title: "Over scaling by area alone",
    words: `The velocity profile differs between the two housings, and with flow. Scaling by the ratio of open areas (${figure(plan.airflow.areaRatio, 4)}) alone would be off by ${percent(Math.abs(worst - 1), 2)} where it is worst and by ${percent(Math.abs(top - 1), 2)} at the top.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `airflow [${flowUnit}]`, scale: "log" },
        y: { label: "wanted flow over area-only flow", scale: "linear" },
        series: [
          {
            kind: "line",
            name: "ratio",
            tone: "new",
            nodes: true,
            points: cells.map((cell) => ({ x: flow(cell.wanted), y: cell.overAreaOnly })),
          },
        ],
        marks: [{ axis: "y", at: 1, label: "area alone", tone: "old" }],
      },
    },
    data: [
      { name: `airflow [${flowUnit}]`, values: cells.map((cell) => flow(cell.wanted)) },
      { name: "over area only", values: ratios },
      { name: "Reynolds number", values: cells.map((cell) => cell.reynolds), digits: 4 },
    ],
  };
}

/** The executed error around each cell. */
export function executedFigure(plan: PlanResult): Figure {
  const { signal, signalUnit } = shownUnits(plan);
  const { cells, executed } = plan.airflow;
  const worst = Math.abs(executed.worst.error);
  const sampled = Math.abs(executed.sampledWorst.error);
  return {
    id: "executed",
    title: "What the engine computer makes of the table",
    words: `Straight lines and rounding put the executed table at most ${percent(worst, 2)} off (at ${figure(signal(executed.worst.signal))} ${signalUnit}); a table that copies the curve's values would be ${percent(sampled, 2)} off. Above zero reads rich, below reads lean.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `signal [${signalUnit}]`, scale: "linear" },
        y: { label: "executed error [%]", scale: "linear" },
        series: [
          {
            kind: "ranges",
            name: "lowest to highest around each cell",
            tone: "new",
            points: cells.map((cell) => ({
              x: signal(cell.signal),
              y: 50 * (cell.readsLow + cell.readsHigh),
              low: 100 * cell.readsLow,
              high: 100 * cell.readsHigh,
            })),
          },
        ],
        marks: [{ axis: "y", at: 0, label: "", tone: "plain" }],
      },
    },
    data: [
      { name: `signal [${signalUnit}]`, values: cells.map((cell) => signal(cell.signal)), digits: 7 },
      { name: "reads low [%]", values: cells.map((cell) => 100 * cell.readsLow), digits: 3 },
      { name: "reads high [%]", values: cells.map((cell) => 100 * cell.readsHigh), digits: 3 },
    ],
  };
}

const PARTS = [
  "element",
  "profile",
  "installation",
  "bore",
  "blockage",
  "law",
  "regrid",
  "storage",
  "refinement",
] as const;
const TONES = ["a", "b", "d", "c", "f", "e", "old", "plain", "new"] as const;

/** Where the uncertainty comes from: variance by component. */
export function budgetFigure(plan: PlanResult): Figure {
  const { flow, flowUnit } = shownUnits(plan);
  const cells = plan.airflow.cells.filter((cell) => cell.wanted > 0 && cell.u > 0);
  const used = PARTS.filter((part) => cells.some((cell) => (cell.budget[part] ?? 0) > 0));
  // Parts combine in quadrature, so each gets the share of the whole that its square has.
  const share = (cell: (typeof cells)[number], part: (typeof PARTS)[number]): number =>
    ((cell.budget[part] ?? 0) / cell.u) ** 2 * cell.u * 100;
  const last = cells[cells.length - 1];
  const biggest = [...used].sort((p, q) => (last?.budget[q] ?? 0) - (last?.budget[p] ?? 0))[0];
  return {
    id: "budget",
    title: "Where the uncertainty comes from",
    words: `Height is the standard uncertainty of a cell; parts combine in quadrature, and each is drawn with the share its square has. At the top of the table it is ${percent(last?.u ?? 0, 2)}, most of it from '${biggest ?? "nothing"}'.`,
    picture: {
      kind: "stack",
      spec: {
        x: { label: `airflow [${flowUnit}]`, scale: "log" },
        y: { label: "standard uncertainty [%]", scale: "linear" },
        layers: used.map((part) => ({ name: part, tone: TONES[PARTS.indexOf(part)] ?? "plain" })),
        rows: cells.map((cell) => ({ x: flow(cell.wanted), values: used.map((part) => share(cell, part)) })),
      },
    },
    data: [
      { name: `airflow [${flowUnit}]`, values: cells.map((cell) => flow(cell.wanted)) },
      { name: "all [%]", values: cells.map((cell) => 100 * cell.u), digits: 3 },
      ...used.map((part) => ({
        name: `${part} [%]`,
        values: cells.map((cell) => 100 * (cell.budget[part] ?? 0)),
        digits: 3,
      })),
    ],
  };
}
