import { area, line } from "d3-shape";
import { html, type Markup } from "../html.js";
import { drawAxes, r, type Scale, SIZE, scaleOf } from "./axes.js";
import { drawMarks } from "./marks.js";
import type { ChartSpec, Ranged, Series, XY } from "./spec.js";

/** A chart as SVG that takes its colours from the page. Title and description are its text equivalent. */
export function drawChart(spec: ChartSpec): Markup {
  const x = scaleOf(spec, "x");
  const y = scaleOf(spec, "y");
  const { width, height } = SIZE;
  const order = { band: 0, ranges: 1, line: 2, points: 3 };
  const series = [...spec.series].sort((a, b) => order[a.kind] - order[b.kind]);
  const frame = `${spec.id}-frame`;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-labelledby="${spec.id}-t ${spec.id}-d"><title id="${spec.id}-t">${spec.title}</title><desc id="${spec.id}-d">${spec.description}</desc><clipPath id="${frame}"><rect x="${SIZE.left - 4}" y="${SIZE.top - 4}" width="${width - SIZE.left - SIZE.right + 8}" height="${height - SIZE.top - SIZE.bottom + 8}"/></clipPath>${drawAxes(spec, x, y)}<g clip-path="url(#${frame})">${series.map((one) => drawSeries(one, x, y))}</g>${drawMarks(spec.marks ?? [], x, y)}</svg>`;
}

function drawSeries(series: Series, x: Scale, y: Scale): Markup {
  switch (series.kind) {
    case "line": {
      const points = series.points.filter(shown(x, y));
      const path =
        line<XY>(
          (point) => r(x(point.x)),
          (point) => r(y(point.y)),
        )(points) ?? "";
      return html`<path class="line ${series.tone}${series.dashed === true ? " dashed" : ""}" d="${path}"/>${series.nodes === true ? dots(points, series.tone, x, y, 2.6) : null}`;
    }
    case "band": {
      const path =
        area<Ranged>()
          .x((point) => r(x(point.x)))
          .y0((point) => r(y(point.low)))
          .y1((point) => r(y(point.high)))(
          series.points.filter((point) => shown(x, y)({ x: point.x, y: point.low })),
        ) ?? "";
      return html`<path class="band ${series.tone}" d="${path}"/>`;
    }
    case "points":
      return dots(series.points.filter(shown(x, y)), series.tone, x, y, 3.6);
    case "ranges":
      return html`<g class="ranges ${series.tone}">${series.points.map(
        (point) =>
          html`<line x1="${r(x(point.x))}" x2="${r(x(point.x))}" y1="${r(y(point.low))}" y2="${r(y(point.high))}"/><circle cx="${r(x(point.x))}" cy="${r(y(point.y))}" r="3.4"/>`,
      )}</g>`;
  }
}

const dots = (points: readonly XY[], tone: string, x: Scale, y: Scale, size: number): Markup =>
  html`<g class="dots ${tone}">${points.map((point) => html`<circle cx="${r(x(point.x))}" cy="${r(y(point.y))}" r="${size}"/>`)}</g>`;

/** A logarithmic axis has no place for zero or less; such points are left out of the picture, not of the table. */
const shown =
  (x: Scale, y: Scale) =>
  (point: XY): boolean =>
    Number.isFinite(x(point.x)) && Number.isFinite(y(point.y));
