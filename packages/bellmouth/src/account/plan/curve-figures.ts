import type { PlanResult } from "../../stage/index.js";
import { figure, percent } from "../../text/index.js";
import type { Figure, Series } from "../picture.js";
import { shownUnits } from "./units.js";

/** Old and new curve with the 95 % band, where the usable signal ends and what each scenario asks for. */
export function curveFigure(plan: PlanResult): Figure {
  const { flow, signal, flowUnit, signalUnit } = shownUnits(plan);
  const { cells, wanted, present } = plan.airflow;
  const { usable, scenarios } = plan.headroom;
  const sameKind = present !== null && present.signal === plan.signal;
  const biased = cells.some((cell) => cell.flags.includes("biased rich"));
  const series: Series[] = [
    {
      kind: "band",
      name: "wanted curve, 95 % interval",
      tone: "new",
      points: wanted.map((point) => ({
        x: signal(point.signal),
        y: flow(point.flow),
        low: flow(point.flow * Math.max(0, 1 - 1.96 * point.u)),
        high: flow(point.flow * (1 + 1.96 * point.u)),
      })),
    },
    {
      kind: "line",
      name: biased ? "new table, raised at high flow as asked" : "new table",
      tone: "new",
      nodes: true,
      points: cells.map((cell) => ({ x: signal(cell.signal), y: flow(cell.flow) })),
    },
    ...(sameKind
      ? [
          {
            kind: "line" as const,
            name: "present table",
            tone: "old" as const,
            dashed: true,
            points: present.points.map((point) => ({ x: signal(point.signal), y: flow(point.flow) })),
          },
        ]
      : []),
  ];
  const hardest = scenarios.reduce((a, b) => (b.share > a.share ? b : a));
  return {
    id: "curve",
    title: sameKind ? "Airflow over signal, old and new" : "Airflow over signal",
    words: `At any signal the new housing passes ${sameKind ? "more air than the present one" : "the air shown"}; the usable signal ends at ${figure(signal(usable.to))} ${signalUnit} (${figure(flow(usable.flow))} ${flowUnit}). The hardest scenario, '${hardest.name}', asks for ${figure(flow(hardest.demand))} ${flowUnit} and reaches ${figure(signal(hardest.signal))} ${signalUnit}, ${percent(hardest.share)} of it. Table points are joined by straight lines, as the engine computer joins them.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `signal [${signalUnit}]`, scale: "linear" },
        y: { label: `airflow [${flowUnit}]`, scale: "linear", from: 0 },
        series,
        marks: [
          { axis: "x", at: signal(usable.to), label: "usable signal ends", tone: "limit" },
          ...scenarios.map((scenario) => ({
            axis: "y" as const,
            at: flow(scenario.demand),
            label: scenario.name,
            tone: "plain" as const,
          })),
        ],
      },
    },
    data: [
      { name: `signal [${signalUnit}]`, values: cells.map((cell) => signal(cell.signal)), digits: 7 },
      { name: `airflow [${flowUnit}]`, values: cells.map((cell) => flow(cell.flow)), digits: 6 },
      { name: `wanted [${flowUnit}]`, values: cells.map((cell) => flow(cell.wanted)) },
      { name: "standard uncertainty [%]", values: cells.map((cell) => 100 * cell.u), digits: 3 },
      { name: "from", text: cells.map((cell) => cell.origin) },
      { name: "flags", text: cells.map((cell) => cell.flags.join(", ")) },
    ],
  };
}

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
