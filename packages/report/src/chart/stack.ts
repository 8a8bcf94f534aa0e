import type { StackSpec } from "bellmouth/account";
import { area, type SeriesPoint, stack } from "d3-shape";
import { html, type Markup } from "../html.js";
import { drawAxes, r, scaleOf } from "./axes.js";
import { frameOf, type Width } from "./frame.js";
import { drawMarks } from "./marks.js";
import { type Names, svg } from "./svg.js";

/** A stacked picture as SVG. */
export function drawStack(spec: StackSpec, names: Names, width: Width = "wide"): Markup {
  const frame = frameOf(width);
  const top = spec.rows.map((row) => ({ x: row.x, y: row.values.reduce((a, b) => a + b, 0) }));
  const chart = {
    ...spec,
    y: { ...spec.y, from: spec.y.from ?? 0 },
    series: [{ kind: "line" as const, name: "", tone: "plain" as const, points: top }],
  };
  const x = scaleOf(chart, "x", frame);
  const y = scaleOf(chart, "y", frame);
  type Row = StackSpec["rows"][number];
  const stacked = stack<Row, number>()
    .keys(spec.layers.map((_, i) => i))
    .value((row, i) => row.values[i] ?? 0)([...spec.rows]);
  const shape = area<SeriesPoint<Row>>()
    .x((point) => r(x(point.data.x)))
    .y0((point) => r(y(point[0])))
    .y1((point) => r(y(point[1])));
  return svg(
    frame,
    names,
    html`${drawAxes(chart, x, y, frame)}${stacked.map((layer, i) => html`<path class="layer ${spec.layers[i]?.tone ?? "plain"}" d="${shape(layer) ?? ""}"/>`)}${drawMarks(spec.marks ?? [], x, y, frame)}`,
  );
}
