import type { DriveResult, TraceBand } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import type { Figure, Ranged } from "../picture.js";
import { orGap } from "../spans.js";
import { toUnit } from "../to-unit.js";

/** A channel over time: the mean of each stretch, and between what it moved there. */
function traceFigure(
  result: DriveResult,
  channel: { readonly id: string; readonly name: string; readonly unit: string; readonly from?: number },
  band: TraceBand,
  show: (si: number) => number,
): Figure {
  const minutes = result.trace.time.map((time) => time / 60);
  const points: Ranged[] = minutes.flatMap((x, i) => {
    const [low, y, high] = [band.low[i] ?? null, band.mean[i] ?? null, band.high[i] ?? null];
    return low === null || y === null || high === null
      ? []
      : [{ x, y: show(y), low: show(low), high: show(high) }];
  });
  const bracket = channel.unit === "" ? "" : ` [${channel.unit}]`;
  const tail = channel.unit === "" ? "" : ` ${channel.unit}`;
  const [least, most] = [
    Math.min(...points.map((point) => point.low)),
    Math.max(...points.map((point) => point.high)),
  ];
  const column = (name: string, values: TraceBand["mean"]) => ({
    name: `${name}${bracket}`,
    values: values.map((value) => (value === null ? Number.NaN : show(value))),
    digits: 5,
  });
  return {
    id: channel.id,
    title: `${channel.name} over the drive`,
    words:
      points.length === 0
        ? `${channel.name} was not logged in any of ${minutes.length} stretches.`
        : `Between ${figure(least)} and ${figure(most)}${tail}. The line is the mean of each of ${points.length} stretches, the band what lies between lowest and highest.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: "time [min]", scale: "linear" },
        y: {
          label: `${channel.name.toLowerCase()}${bracket}`,
          scale: "linear",
          ...(channel.from === undefined ? {} : { from: channel.from }),
        },
        series: [
          { kind: "band", name: "lowest to highest", tone: "cool", points },
          { kind: "line", name: "mean", tone: "cool", points },
        ],
      },
    },
    data: [
      { name: "time [min]", values: minutes, digits: 4 },
      column("lowest", band.low),
      column("mean", band.mean),
      column("highest", band.high),
    ],
  };
}

/** Airflow, engine speed and lambda over the drive. */
export const traceFigures = (result: DriveResult): readonly Figure[] => [
  traceFigure(
    result,
    { id: "airflow", name: "Airflow", unit: result.units.flow, from: 0 },
    result.trace.airflow,
    toUnit(result.units.flow, "mass flow"),
  ),
  traceFigure(
    result,
    { id: "speed", name: "Engine speed", unit: "rpm", from: 0 },
    result.trace.speed,
    (speed) => 60 * speed,
  ),
  traceFigure(result, { id: "lambda", name: "Lambda", unit: "" }, result.trace.lambda, (value) => value),
];

/** How far the table in the engine computer is from the truth, which only a simulation knows. */
export function tableFigure(result: DriveResult): Figure {
  const flow = toUnit(result.units.flow, "mass flow");
  const signal = toUnit(result.units.signal, result.signal);
  const known = result.cells.flatMap((cell) =>
    cell.table === null || !(cell.truth > 0) ? [] : [{ ...cell, error: 100 * (cell.table / cell.truth - 1) }],
  );
  const worst = known.reduce<(typeof known)[number] | null>(
    (most, cell) => (Math.abs(cell.error) > Math.abs(most?.error ?? 0) ? cell : most),
    null,
  );
  return {
    id: "table",
    title: "The table in the engine computer against the truth",
    words: `${figure(100 * result.tableError, 2)} % rms off over the true curve's cells${worst === null ? "" : `; at most ${figure(worst.error, 2)} %, at ${figure(flow(worst.truth))} ${result.units.flow}`}. Below zero the table reads low, which is lean.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: `true airflow [${result.units.flow}]`, scale: "log" },
        y: { label: "table over truth, less 1 [%]", scale: "linear" },
        series: [
          {
            kind: "line",
            name: "table",
            tone: "old",
            nodes: true,
            points: known.map((cell) => ({ x: flow(cell.truth), y: cell.error })),
          },
        ],
        marks: [{ axis: "y", at: 0, label: "truth", tone: "new" }],
      },
    },
    data: [
      {
        name: `signal [${result.units.signal}]`,
        values: result.cells.map((cell) => signal(cell.signal)),
        digits: 7,
      },
      { name: `truth [${result.units.flow}]`, values: result.cells.map((cell) => flow(cell.truth)) },
      {
        name: `table [${result.units.flow}]`,
        values: result.cells.map((cell) => flow(orGap(cell.table))),
      },
    ],
  };
}
