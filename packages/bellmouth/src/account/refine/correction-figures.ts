import type { RefineReport } from "../../stage/index.js";
import { figure, percent } from "../../text/index.js";
import type { Figure, Series } from "../picture.js";
import { toUnit } from "../to-unit.js";

type Cell = RefineReport["refinement"]["cells"][number];

const correction = (cell: Cell): number => 100 * (cell.after / cell.before - 1);
/** Seen for long enough to be worth a dot. */
const seenWell = (cell: Cell): boolean => cell.seen !== null && cell.seconds >= 0.5;
const drawable = (report: RefineReport): readonly Cell[] =>
  report.refinement.cells.filter((cell) => cell.before > 0);

/** What was seen at every cell, the correction with its interval, and where it was held back. */
export function correctionFigure(report: RefineReport): Figure {
  const flow = toUnit(report.units.flow, "mass flow");
  const cells = drawable(report);
  const seen = cells.filter(seenWell);
  const largest = cells.reduce((a, b) => (Math.abs(correction(b)) > Math.abs(correction(a)) ? b : a));
  const held = cells.filter((cell) => cell.held !== null).length;
  const series: Series[] = [
    {
      kind: "band",
      name: "95 % interval",
      tone: "new",
      points: cells.map((cell) => ({
        x: flow(cell.before),
        y: correction(cell),
        low: 100 * (cell.low / cell.before - 1),
        high: 100 * (cell.high / cell.before - 1),
      })),
    },
    {
      kind: "line",
      name: "correction",
      tone: "new",
      nodes: true,
      points: cells.map((cell) => ({ x: flow(cell.before), y: correction(cell) })),
    },
    {
      kind: "points",
      name: "seen near the cell, delay and transients taken off",
      tone: "warm",
      points: seen.map((cell) => ({ x: flow(cell.before), y: 100 * ((cell.seen ?? 1) - 1) })),
    },
  ];
  return {
    id: "correction",
    title: "Correction over flow",
    words: `The largest correction is ${figure(correction(largest), 2)} % at ${figure(flow(largest.before))} ${report.units.flow}. Dots are the mean of what was seen nearest to a cell; the line weighs them by how long and how steadily they were seen, together with what was known before, and the band is where the truth lies 95 times in 100.${held > 0 ? ` ${held} cells were held back by the guard rails.` : ""}`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `airflow before [${report.units.flow}]`, scale: "log" },
        y: { label: "true over table flow, less 1 [%]", scale: "linear" },
        series,
        marks: [{ axis: "y", at: 0, label: "table before", tone: "old" }],
      },
    },
    data: [
      { name: `before [${report.units.flow}]`, values: cells.map((cell) => flow(cell.before)) },
      { name: `after [${report.units.flow}]`, values: cells.map((cell) => flow(cell.after)) },
      { name: `low [${report.units.flow}]`, values: cells.map((cell) => flow(cell.low)) },
      { name: `high [${report.units.flow}]`, values: cells.map((cell) => flow(cell.high)) },
      {
        name: "seen [%]",
        values: cells.map((cell) => (cell.seen === null ? Number.NaN : 100 * (cell.seen - 1))),
        digits: 3,
      },
      { name: "driven [s]", values: cells.map((cell) => cell.seconds), digits: 3 },
      { name: "held by", text: cells.map((cell) => cell.held ?? "") },
    ],
  };
}

/** How sure the table was before and is now. */
export function intervalFigure(report: RefineReport): Figure {
  const flow = toUnit(report.units.flow, "mass flow");
  const cells = drawable(report);
  const line = (name: string, tone: "old" | "new", u: (cell: Cell) => number): Series => ({
    kind: "line",
    name,
    tone,
    ...(tone === "old" ? { dashed: true } : { nodes: true }),
    points: cells.map((cell) => ({ x: flow(cell.before), y: 196 * u(cell) })),
  });
  const best = Math.min(...cells.map((cell) => cell.u));
  const worst = Math.max(...cells.map((cell) => cell.u));
  return {
    id: "certainty",
    title: "How sure the table is",
    words: `Half the width of the 95 % interval, before and after the drives: now ${percent(1.96 * best, 2)} where they say most and ${percent(1.96 * worst, 2)} where they say least.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `airflow before [${report.units.flow}]`, scale: "log" },
        y: { label: "half width of the 95 % interval [%]", scale: "linear", from: 0 },
        series: [
          line("before the drives", "old", (cell) => cell.priorU),
          line("after", "new", (cell) => cell.u),
        ],
      },
    },
    data: [
      { name: `before [${report.units.flow}]`, values: cells.map((cell) => flow(cell.before)) },
      { name: "half width before [%]", values: cells.map((cell) => 196 * cell.priorU), digits: 3 },
      { name: "half width after [%]", values: cells.map((cell) => 196 * cell.u), digits: 3 },
      { name: "evidence [%]", values: cells.map((cell) => 100 * cell.evidence), digits: 3 },
    ],
  };
}

/** The table before and after, as the engine computer joins it. */
export function refinedCurveFigure(report: RefineReport): Figure {
  const flow = toUnit(report.units.flow, "mass flow");
  const signal = toUnit(report.units.signal, report.signal);
  const { cells } = report.refinement;
  const top = cells[cells.length - 1] as Cell;
  return {
    id: "refined-curve",
    title: "The table, before and after",
    words: `At the top of the table, ${figure(signal(top.signal))} ${report.units.signal}, the flow goes from ${figure(flow(top.before))} to ${figure(flow(top.after))} ${report.units.flow}. Table points are joined by straight lines, as the engine computer joins them.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `signal [${report.units.signal}]`, scale: "linear" },
        y: { label: `airflow [${report.units.flow}]`, scale: "linear", from: 0 },
        series: [
          {
            kind: "band",
            name: "95 % interval",
            tone: "new",
            points: cells.map((cell) => ({
              x: signal(cell.signal),
              y: flow(cell.after),
              low: flow(cell.low),
              high: flow(cell.high),
            })),
          },
          {
            kind: "line",
            name: "before",
            tone: "old",
            dashed: true,
            points: cells.map((cell) => ({ x: signal(cell.signal), y: flow(cell.before) })),
          },
          {
            kind: "line",
            name: "after",
            tone: "new",
            nodes: true,
            points: cells.map((cell) => ({ x: signal(cell.signal), y: flow(cell.after) })),
          },
        ],
      },
    },
    data: [
      {
        name: `signal [${report.units.signal}]`,
        values: cells.map((cell) => signal(cell.signal)),
        digits: 7,
      },
      { name: `before [${report.units.flow}]`, values: cells.map((cell) => flow(cell.before)), digits: 6 },
      { name: `after [${report.units.flow}]`, values: cells.map((cell) => flow(cell.after)), digits: 6 },
      {
        name: "flags",
        text: report.refinement.curve.cells.map((cell) => cell.flags.join(", ")),
      },
    ],
  };
}
