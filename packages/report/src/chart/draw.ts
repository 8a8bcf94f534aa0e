import type { ChartSpec, Ranged, Series, XY } from "bellmouth/account";
import { area, line } from "d3-shape";
import { html, type Markup } from "../html.js";
import { drawAxes, r, type Scale, scaleOf } from "./axes.js";
import { type Frame, frameOf, type Width } from "./frame.js";
import { apart, drawMarks } from "./marks.js";
import { type Names, svg } from "./svg.js";

/** A chart as SVG that takes its colours from the page. Title and description are its text equivalent. */
export function drawChart(spec: ChartSpec, names: Names, width: Width = "wide"): Markup {
  const frame = frameOf(width, spec.aspect);
  const x = scaleOf(spec, "x", frame);
  const y = scaleOf(spec, "y", frame);
  const order = { band: 0, ranges: 1, line: 2, points: 3 };
  const series = [...spec.series].sort((a, b) => order[a.kind] - order[b.kind]);
  const clip = `${names.id}-frame`;
  return svg(
    frame,
    names,
    html`<clipPath id="${clip}"><rect x="${frame.left - 4}" y="${frame.top - 4}" width="${frame.width - frame.left - frame.right + 8}" height="${frame.height - frame.top - frame.bottom + 8}"/></clipPath>${drawAxes(spec, x, y, frame)}<g clip-path="url(#${clip})">${series.map((one) => drawSeries(one, x, y))}</g>${drawMarks(spec.marks ?? [], x, y, frame)}${directLabels(series, x, y, frame)}`,
  );
}

/** Names beside the lines they belong to, at their right ends, apart from each other. */
function directLabels(series: readonly Series[], x: Scale, y: Scale, frame: Frame): Markup {
  const named = series.flatMap((one) => {
    const last =
      one.kind === "line" && one.direct === true ? one.points.filter(shown(x, y)).at(-1) : undefined;
    return last === undefined ? [] : [{ name: one.name, tone: one.tone, at: x(last.x), y: y(last.y) }];
  });
  const places = apart(
    named.map((one) => one.y - 8),
    named.map(() => true),
    frame.top + 12,
    frame.height - frame.bottom - 4,
  );
  return html`${named.map(
    (one, i) =>
      html`<text class="direct ${one.tone}" x="${r(Math.min(one.at - 6, frame.width - frame.right - 2))}" y="${r(places[i] as number)}" text-anchor="end">${one.name}</text>`,
  )}`;
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
          series.points.filter((point) =>
            [point.low, point.high].every((end) => shown(x, y)({ x: point.x, y: end })),
          ),
        ) ?? "";
      return html`<path class="band ${series.tone}" d="${path}"/>`;
    }
    case "points":
      return dots(series.points.filter(shown(x, y)), series.tone, x, y, 3.6);
    case "ranges":
      return html`<g class="ranges ${series.tone}">${series.points
        .filter((point) =>
          [point.low, point.y, point.high].every((end) => shown(x, y)({ x: point.x, y: end })),
        )
        .map(
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
