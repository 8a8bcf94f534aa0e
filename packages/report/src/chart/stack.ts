import { area, type SeriesPoint, stack } from "d3-shape";
import { html, type Markup } from "../html.js";
import { drawAxes, r, SIZE, scaleOf } from "./axes.js";
import { drawMarks } from "./marks.js";
import type { AxisSpec, Mark, Tone } from "./spec.js";

/** Layers on top of each other over x: what each part takes of a whole. */
export interface StackSpec {
  readonly id: string;
  readonly title: string;
  readonly description: string;
  readonly x: AxisSpec;
  readonly y: AxisSpec;
  readonly layers: readonly { readonly name: string; readonly tone: Tone }[];
  readonly rows: readonly { readonly x: number; readonly values: readonly number[] }[];
  readonly marks?: readonly Mark[];
}

/** A stacked picture as SVG. */
export function drawStack(spec: StackSpec): Markup {
  const top = spec.rows.map((row) => ({ x: row.x, y: row.values.reduce((a, b) => a + b, 0) }));
  const chart = {
    ...spec,
    y: { ...spec.y, from: spec.y.from ?? 0 },
    series: [{ kind: "line" as const, name: "", tone: "plain" as const, points: top }],
  };
  const x = scaleOf(chart, "x");
  const y = scaleOf(chart, "y");
  type Row = StackSpec["rows"][number];
  const stacked = stack<Row, number>()
    .keys(spec.layers.map((_, i) => i))
    .value((row, i) => row.values[i] ?? 0)([...spec.rows]);
  const shape = area<SeriesPoint<Row>>()
    .x((point) => r(x(point.data.x)))
    .y0((point) => r(y(point[0])))
    .y1((point) => r(y(point[1])));
  const { width, height } = SIZE;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-labelledby="${spec.id}-t ${spec.id}-d"><title id="${spec.id}-t">${spec.title}</title><desc id="${spec.id}-d">${spec.description}</desc>${drawAxes(chart, x, y)}${stacked.map((layer, i) => html`<path class="layer ${spec.layers[i]?.tone ?? "plain"}" d="${shape(layer) ?? ""}"/>`)}${drawMarks(spec.marks ?? [], x, y)}</svg>`;
}
