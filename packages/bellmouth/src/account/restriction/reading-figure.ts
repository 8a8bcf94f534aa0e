import type { RestrictionResult } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import { toneOf } from "../palette.js";
import type { Figure, Series, XY } from "../picture.js";
import { toUnit } from "../to-unit.js";

/** Every reading as a point, with the fitted law through it: what the shares rest on. */
export function readingFigure(result: RestrictionResult): Figure {
  const pressure = toUnit(result.units.pressure, "pressure difference");
  const flow = toUnit(result.units.flow, "mass flow");
  const { budget, byFlow, units } = result;
  const { elements, readings } = budget;
  // Drops of the parts add up along the tract.
  const law = (j: number): XY[] => [
    { x: 0, y: 0 },
    ...byFlow.flow.map((one, i) => ({
      x: flow(one),
      y: pressure(byFlow.drops.slice(0, j + 1).reduce((sum, drops) => sum + (drops[i] ?? 0), 0)),
    })),
  ];
  const read = (j: number): XY[] =>
    readings.flow.flatMap((one, k) => {
      const drop = readings.drops[k]?.[j];
      return drop === null || drop === undefined ? [] : [{ x: flow(one), y: pressure(drop) }];
    });
  const series = elements.flatMap((element, j): Series[] => [
    { kind: "line", name: `after ${element.name}`, tone: toneOf(j), points: law(j), direct: true },
    { kind: "points", name: `read after ${element.name}`, tone: toneOf(j), points: read(j) },
  ]);
  const left = elements.flatMap((element, j) => {
    const one = budget.residual[j];
    return one === null || one === undefined
      ? []
      : [`${figure(pressure(one), 2)} ${units.pressure} after ${element.name}`];
  });
  const missing = readings.drops.flat().filter((drop) => drop === null).length;
  return {
    id: "readings",
    title: "Readings and the fitted law",
    words: `Drop of total pressure from the outside air to the end of each part, at ${readings.flow.length} points; at static tappings the stream's own head is taken out.${left.length === 0 ? "" : ` The readings lie off the law by ${left.join(", ")} (rms).`}${missing === 0 ? "" : ` ${missing} of ${readings.flow.length * elements.length} readings are missing.`}`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `airflow [${units.flow}]`, scale: "linear", from: 0 },
        y: { label: `total pressure below outside [${units.pressure}]`, scale: "linear" },
        series,
      },
    },
    data: [
      { name: `airflow [${units.flow}]`, values: readings.flow.map(flow), digits: 5 },
      ...elements.map((element, j) => ({
        name: `after ${element.name} [${units.pressure}]`,
        values: readings.drops.map((row) => {
          const drop = row[j];
          return drop === null || drop === undefined ? Number.NaN : pressure(drop);
        }),
        digits: 4,
      })),
    ],
  };
}
