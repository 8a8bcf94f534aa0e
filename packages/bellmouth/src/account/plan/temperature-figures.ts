import type { PlanResult } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import type { Figure } from "../picture.js";
import { toUnit } from "../to-unit.js";

/** The air-temperature table, and what the old one would have made of the new element. */
export function temperatureFigures(plan: PlanResult): readonly Figure[] {
  const { temperature: iat } = plan;
  if (iat === null) return [];
  const x = toUnit(iat.axis.unit, iat.axis.dimension);
  const y = toUnit(iat.value.unit, iat.value.dimension);
  const celsius = toUnit("degC", "temperature");
  const left = iat.leftAlone;
  const worst = left?.reduce((a, b) => (Math.abs(b.read - b.true) > Math.abs(a.read - a.true) ? b : a));
  return [
    {
      id: "temperature",
      title: "Air-temperature table",
      words: `The table joins ${iat.cells.length} points by straight lines and is at most ${figure(Math.abs(iat.worst.error), 2)} K off inside its band (at ${figure(celsius(iat.worst.temperature))} degC).`,
      picture: {
        kind: "chart",
        spec: {
          x: { label: `${iat.axis.name} [${iat.axis.unit}]`, scale: "linear" },
          y: { label: `${iat.value.name} [${iat.value.unit}]`, scale: "linear" },
          series: [
            {
              kind: "line",
              name: "new table",
              tone: "new",
              nodes: true,
              points: iat.cells.map((cell) => ({ x: x(cell.x), y: y(cell.y) })),
            },
          ],
        },
      },
      data: [
        { name: `${iat.axis.name} [${iat.axis.unit}]`, values: iat.cells.map((cell) => x(cell.x)) },
        { name: `${iat.value.name} [${iat.value.unit}]`, values: iat.cells.map((cell) => y(cell.y)) },
        { name: "standard uncertainty [K]", values: iat.cells.map((cell) => cell.u), digits: 2 },
        { name: "flags", text: iat.cells.map((cell) => cell.flags.join(", ")) },
      ],
    },
    ...(left === null || worst === undefined
      ? []
      : [
          {
            id: "temperature-left-alone",
            title: "If the old temperature table were left in",
            words: `The new element under the old table would read up to ${figure(Math.abs(worst.read - worst.true), 2)} K wrong (${figure(celsius(worst.true))} degC as ${figure(celsius(worst.read))} degC), and fuel and ignition with it.`,
            picture: {
              kind: "chart" as const,
              spec: {
                x: { label: "true air temperature [degC]", scale: "linear" as const },
                y: { label: "read [degC]", scale: "linear" as const },
                series: [
                  {
                    kind: "line" as const,
                    name: "read by the old table",
                    tone: "old" as const,
                    nodes: true,
                    points: left.map((pair) => ({ x: celsius(pair.true), y: celsius(pair.read) })),
                  },
                  {
                    kind: "line" as const,
                    name: "right",
                    tone: "plain" as const,
                    dashed: true,
                    points: left.map((pair) => ({ x: celsius(pair.true), y: celsius(pair.true) })),
                  },
                ],
              },
            },
            data: [
              { name: "true [degC]", values: left.map((pair) => celsius(pair.true)) },
              { name: "read as [degC]", values: left.map((pair) => celsius(pair.read)) },
            ],
          } satisfies Figure,
        ]),
  ];
}
