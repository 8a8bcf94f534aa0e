import type { PlanResult } from "../../stage/index.js";
import { chance, figure, percent, unitSign } from "../../text/index.js";
import type { Figure, Mark } from "../picture.js";
import { presentAt } from "./present-at.js";
import { shownUnits } from "./units.js";

/** Flat pictures, one under the other on one signal axis. */
const FLAT = 0.34;

/** The first screen's pictures: flow with demands, new over present, lambda over target to expect. */
export function leadFigures(plan: PlanResult): readonly Figure[] {
  return [flowFigure(plan), ...ratioFigure(plan), lambdaFigure(plan)];
}

function flowFigure(plan: PlanResult): Figure {
  const { flow, signal, flowUnit, signalUnit } = shownUnits(plan);
  const { cells, present } = plan.airflow;
  const { scenarios, usable } = plan.headroom;
  const drawn = cells.filter((cell) => cell.flow > 0);
  const old = present !== null && present.signal === plan.signal ? present.points : [];
  const demands: Mark[] = scenarios.map((scenario) => ({
    axis: "y",
    at: flow(scenario.demand),
    label: `${scenario.name} ${figure(flow(scenario.demand))}`,
    tone: "plain",
  }));
  return {
    id: "flow",
    title: "Flow over signal",
    words: `Usable to ${figure(signal(usable.to))} ${unitSign(signalUnit)}. ${scenarios
      .map(
        (scenario) =>
          `'${scenario.name}' reaches ${figure(signal(scenario.signal))} of ${figure(signal(usable.to))} ${unitSign(signalUnit)} (chance of exceeding it: ${chance(scenario.chanceOver)}).`,
      )
      .join(" ")}`,
    picture: {
      kind: "chart",
      spec: {
        aspect: 0.5,
        x: { label: `signal [${unitSign(signalUnit)}]`, scale: "linear" },
        y: { label: `flow [${unitSign(flowUnit)}]`, scale: "log" },
        series: [
          {
            kind: "band",
            name: "95 % interval",
            tone: "new",
            points: drawn.map((cell) => ({
              x: signal(cell.signal),
              y: flow(cell.wanted),
              low: flow(cell.wanted) * Math.max(0.02, 1 - 1.96 * cell.u),
              high: flow(cell.wanted) * (1 + 1.96 * cell.u),
            })),
          },
          {
            kind: "line",
            name: "new",
            tone: "new",
            nodes: true,
            direct: true,
            points: drawn.map((cell) => ({ x: signal(cell.signal), y: flow(cell.flow) })),
          },
          ...(old.length === 0
            ? []
            : [
                {
                  kind: "line" as const,
                  name: "present",
                  tone: "old" as const,
                  dashed: true,
                  direct: true,
                  points: old
                    .filter((point) => point.flow > 0)
                    .map((point) => ({ x: signal(point.signal), y: flow(point.flow) })),
                },
              ]),
        ],
        marks: [...demands, { axis: "x", at: signal(usable.to), label: "usable to", tone: "limit" }],
      },
    },
    data: [
      { name: `signal [${signalUnit}]`, values: cells.map((cell) => signal(cell.signal)), digits: 7 },
      { name: `new [${flowUnit}]`, values: cells.map((cell) => flow(cell.flow)), digits: 6 },
      {
        name: `present [${flowUnit}]`,
        values: cells.map((cell) => {
          const at = presentAt(plan, cell.signal);
          return at === null ? Number.NaN : flow(at);
        }),
        digits: 6,
      },
    ],
  };
}

function ratioFigure(plan: PlanResult): readonly Figure[] {
  const { signal, signalUnit } = shownUnits(plan);
  const points = plan.airflow.cells.flatMap((cell) => {
    const old = presentAt(plan, cell.signal);
    return old === null || !(old > 0) ? [] : [{ x: signal(cell.signal), y: cell.flow / old }];
  });
  if (points.length < 2) return [];
  const lowest = points.reduce((a, b) => (b.y < a.y ? b : a));
  const highest = points.reduce((a, b) => (b.y > a.y ? b : a));
  return [
    {
      id: "ratio",
      title: "New over present",
      words: `From ${figure(lowest.y)} at ${figure(lowest.x)} ${unitSign(signalUnit)} to ${figure(highest.y)} at ${figure(highest.x)} ${unitSign(signalUnit)}. A typing error stands out as a step.`,
      picture: {
        kind: "chart",
        spec: {
          aspect: FLAT,
          x: { label: `signal [${unitSign(signalUnit)}]`, scale: "linear" },
          y: { label: "new / present", scale: "linear" },
          series: [{ kind: "line", name: "new / present", tone: "new", nodes: true, points }],
        },
      },
      data: [
        { name: `signal [${signalUnit}]`, values: points.map((point) => point.x), digits: 7 },
        { name: "new / present", values: points.map((point) => point.y), digits: 4 },
      ],
    },
  ];
}

/** Lambda over its target with feedback off [%]: lowest and highest of the 95 % interval as the ECU executes the table. */
export const lambdaEnds = (cell: PlanResult["airflow"]["cells"][number]): readonly [number, number] => [
  100 * ((1 - 1.96 * cell.u) / (1 + cell.readsHigh) - 1),
  100 * ((1 + 1.96 * cell.u) / (1 + cell.readsLow) - 1),
];

function lambdaFigure(plan: PlanResult): Figure {
  const { signal, signalUnit } = shownUnits(plan);
  const cells = plan.airflow.cells.filter((cell) => cell.wanted > 0 && 1.96 * cell.u < 1);
  const ends = cells.map((cell) => lambdaEnds(cell));
  const high = cells
    .map((cell, i) => ({ cell, ends: ends[i] as readonly [number, number] }))
    .filter(({ cell }) => cell.wanted >= plan.entry.highFlowFrom && !cell.flags.includes("extrapolated"));
  const lean = high.reduce((most, one) => Math.max(most, one.ends[1]), 0);
  const rich = high.reduce((least, one) => Math.min(least, one.ends[0]), 0);
  return {
    id: "lambda",
    title: "Lambda over target to expect",
    words:
      high.length === 0
        ? `With feedback off, around each cell; above 0 % is lean. The widest interval is ${percent(1.96 * cells.reduce((most, cell) => Math.max(most, cell.u), 0), 2)} either way.`
        : `With feedback off; above 0 % is lean. At high flow expect ${figure(-rich, 2)} % rich to ${figure(lean, 2)} % lean of target (95 %).`,
    picture: {
      kind: "chart",
      spec: {
        aspect: FLAT,
        x: { label: `signal [${unitSign(signalUnit)}]`, scale: "linear" },
        y: { label: "lambda over target [%]", scale: "linear" },
        series: [
          {
            kind: "band",
            name: "95 % interval",
            tone: "new",
            points: cells.map((cell, i) => ({
              x: signal(cell.signal),
              y: 0,
              low: ends[i]?.[0] ?? 0,
              high: ends[i]?.[1] ?? 0,
            })),
          },
        ],
        marks: [{ axis: "y", at: 0, label: "target; lean above", tone: "plain" }],
      },
    },
    data: [
      { name: `signal [${signalUnit}]`, values: cells.map((cell) => signal(cell.signal)), digits: 7 },
      { name: "rich end [%]", values: ends.map((one) => one[0]), digits: 3 },
      { name: "lean end [%]", values: ends.map((one) => one[1]), digits: 3 },
    ],
  };
}
