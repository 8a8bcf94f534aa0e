import type { PlanResult } from "../../stage/index.js";
import { chance, figure, percent } from "../../text/index.js";
import type { Figure } from "../picture.js";
import { shownUnits } from "./units.js";

/** Share of the usable signal that each scenario takes, with the new meter and with the present one. */
export function headroomFigure(plan: PlanResult): Figure {
  const { flow, flowUnit } = shownUnits(plan);
  const { scenarios } = plan.headroom;
  return {
    id: "headroom",
    title: "Headroom by scenario",
    words: scenarios
      .map(
        (scenario) =>
          `'${scenario.name}' takes ${percent(scenario.share)} of the usable signal (${chance(scenario.chanceOver)} to run past it)${scenario.before === null ? "" : `; with the present meter ${percent(scenario.before.share)}`}.`,
      )
      .join(" "),
    picture: {
      kind: "bars",
      spec: {
        label: "share of the usable signal [%]",
        groups: scenarios.map((scenario) => ({
          name: `${scenario.name}: ${figure(flow(scenario.demand))} ${flowUnit}`,
          bars: [
            {
              name: "new meter",
              value: 100 * scenario.share,
              text: percent(scenario.share),
              tone: scenario.state === "over" ? ("limit" as const) : ("new" as const),
            },
            ...(scenario.before === null
              ? []
              : [
                  {
                    name: "present meter",
                    value: 100 * scenario.before.share,
                    text: percent(scenario.before.share),
                    tone: scenario.before.state === "over" ? ("limit" as const) : ("old" as const),
                  },
                ]),
          ],
        })),
        limit: { at: 100, label: "end of the usable signal" },
      },
    },
    data: [
      { name: "scenario", text: scenarios.map((scenario) => scenario.name) },
      { name: `demand [${flowUnit}]`, values: scenarios.map((scenario) => flow(scenario.demand)) },
      { name: "share used [%]", values: scenarios.map((scenario) => 100 * scenario.share), digits: 4 },
      { name: `flow left [${flowUnit}]`, values: scenarios.map((scenario) => flow(scenario.flowLeft)) },
      { name: "chance over [%]", values: scenarios.map((scenario) => 100 * scenario.chanceOver), digits: 3 },
      {
        name: "share used before [%]",
        values: scenarios.map((scenario) => 100 * (scenario.before?.share ?? Number.NaN)),
        digits: 4,
      },
      { name: "how the demand was come by", text: scenarios.map((scenario) => scenario.how) },
    ],
  };
}

const TONES = ["a", "b", "c", "d", "e", "f"] as const;

/** Share used over bore, for each scenario, and the predicted drop of the housing. */
export function sweepFigures(plan: PlanResult): readonly Figure[] {
  const { sweep } = plan;
  if (sweep === null || sweep.rows.length === 0) return [];
  const bores = sweep.rows.map((row) => 1000 * row.bore);
  const names = plan.headroom.scenarios.map((scenario) => scenario.name);
  const chosen =
    sweep.chosen === null
      ? []
      : [
          {
            axis: "x" as const,
            at: 1000 * sweep.chosen,
            label: "smallest that meets the limits",
            tone: "new" as const,
          },
        ];
  const drops = sweep.rows.filter((row) => row.drop !== null);
  return [
    {
      id: "bores",
      title: "Which bore?",
      words: sweep.sentence,
      picture: {
        kind: "chart",
        spec: {
          x: { label: "bore [mm]", scale: "linear" },
          y: { label: "share of the usable signal [%]", scale: "linear" },
          series: names.map((name, i) => ({
            kind: "line" as const,
            name,
            tone: TONES[i % TONES.length] ?? "plain",
            nodes: true,
            points: sweep.rows.map((row) => ({
              x: 1000 * row.bore,
              y: 100 * (row.scenarios[i]?.share ?? Number.NaN),
            })),
          })),
          marks: [{ axis: "y", at: 100, label: "end of the usable signal", tone: "limit" }, ...chosen],
        },
      },
      data: [
        { name: "bore [mm]", values: bores },
        ...names.flatMap((name, i) => [
          {
            name: `${name}: share [%]`,
            values: sweep.rows.map((row) => 100 * (row.scenarios[i]?.share ?? Number.NaN)),
            digits: 4,
          },
          {
            name: `${name}: chance over [%]`,
            values: sweep.rows.map((row) => 100 * (row.scenarios[i]?.chanceOver ?? Number.NaN)),
            digits: 3,
          },
        ]),
        {
          name: "one step at idle [%]",
          values: sweep.rows.map((row) => 100 * (row.idleStepShare ?? Number.NaN)),
          digits: 3,
        },
        {
          name: "meets the limits",
          text: sweep.rows.map((row) => (row.meets ? "yes" : row.fails.join("; "))),
        },
      ],
    },
    ...(drops.length === 0
      ? []
      : [
          {
            id: "bore-drop",
            title: "Pressure that the housing costs",
            words: `At the greatest demand the housing is predicted to take ${figure(drops[0]?.drop?.value ?? 0)} Pa with ${figure(1000 * (drops[0]?.bore ?? 0))} mm and ${figure(drops[drops.length - 1]?.drop?.value ?? 0)} Pa with ${figure(1000 * (drops[drops.length - 1]?.bore ?? 0))} mm.`,
            picture: {
              kind: "chart" as const,
              spec: {
                x: { label: "bore [mm]", scale: "linear" as const },
                y: { label: "drop [Pa]", scale: "linear" as const, from: 0 },
                series: [
                  {
                    kind: "band" as const,
                    name: "95 % interval",
                    tone: "warm" as const,
                    points: drops.map((row) => ({
                      x: 1000 * row.bore,
                      y: row.drop?.value ?? 0,
                      low: Math.max(0, (row.drop?.value ?? 0) - 1.96 * (row.drop?.u ?? 0)),
                      high: (row.drop?.value ?? 0) + 1.96 * (row.drop?.u ?? 0),
                    })),
                  },
                  {
                    kind: "line" as const,
                    name: "drop at the greatest demand",
                    tone: "warm" as const,
                    nodes: true,
                    points: drops.map((row) => ({ x: 1000 * row.bore, y: row.drop?.value ?? 0 })),
                  },
                ],
                marks: chosen,
              },
            },
            data: [
              { name: "bore [mm]", values: drops.map((row) => 1000 * row.bore) },
              { name: "drop [Pa]", values: drops.map((row) => row.drop?.value ?? 0), digits: 4 },
              { name: "standard uncertainty [Pa]", values: drops.map((row) => row.drop?.u ?? 0), digits: 3 },
            ],
          } satisfies Figure,
        ]),
  ];
}
