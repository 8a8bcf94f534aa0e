import type { AxisSpec, ChartSpec, Series } from "bellmouth/account";
import { type ScaleContinuousNumeric, scaleLinear, scaleLog } from "d3-scale";
import { html, type Markup } from "../html.js";
import type { Frame } from "./frame.js";

export type Scale = ScaleContinuousNumeric<number, number>;

const valuesOf = (series: Series, axis: "x" | "y"): number[] =>
  series.kind === "band" || series.kind === "ranges"
    ? series.points.flatMap((point) => (axis === "x" ? [point.x] : [point.low, point.high]))
    : series.points.map((point) => point[axis]);

/** Scale over the data and the marks, widened to round numbers. */
export function scaleOf(spec: ChartSpec, axis: "x" | "y", frame: Frame): Scale {
  const { scale, from, to }: AxisSpec = spec[axis];
  const values = [
    ...spec.series.flatMap((series) => valuesOf(series, axis)),
    ...(spec.marks ?? []).filter((mark) => mark.axis === axis).map((mark) => mark.at),
  ].filter((value) => Number.isFinite(value) && (scale === "linear" || value > 0));
  const low = from ?? Math.min(...values);
  const high = to ?? Math.max(...values);
  const fair = Number.isFinite(low) && Number.isFinite(high);
  const fairEnds = fair && high > low ? [low, high] : fair ? [low - 1, low + 1] : [0, 1];
  const ends = padded(fairEnds as [number, number], spec, { scale, from, to });
  const range =
    axis === "x" ? [frame.left, frame.width - frame.right] : [frame.height - frame.bottom, frame.top];
  const made: Scale =
    scale === "log" ? scaleLog([Math.max(ends[0], 1e-12), ends[1]], range) : scaleLinear(ends, range);
  // Round ends of a logarithmic axis are powers of ten, which would leave half of the picture empty.
  return scale === "linear" && (from === undefined || to === undefined) ? made.nice() : made;
}

/** Dots and bars have a size: they get some room to the frame, which lines do not need on a linear axis. */
function padded(
  [low, high]: [number, number],
  spec: ChartSpec,
  { scale, from, to }: Pick<AxisSpec, "scale"> & { from: number | undefined; to: number | undefined },
): [number, number] {
  if (scale === "log") {
    const room = (high / low) ** 0.025;
    return low > 0 ? [from ?? low / room, to ?? high * room] : [low, high];
  }
  const sized = spec.series.some((series) => series.kind === "points" || series.kind === "ranges");
  if (!sized) return [low, high];
  const room = 0.025 * (high - low);
  return [from ?? low - room, to ?? high + room];
}

/** Whether tick texts stand apart along the foot of a picture. */
const fits = (texts: readonly string[], frame: Frame): boolean =>
  texts.reduce((sum, text) => sum + 14 + 8 * text.length, 0) <= frame.width - frame.left - frame.right;

/** Most ticks of an axis: one for so many pixels. */
const mostTicks = (axis: "x" | "y", { width, height, left, right, top, bottom }: Frame): number =>
  axis === "x"
    ? Math.max(3, Math.min(9, Math.round((width - left - right) / 65)))
    : Math.max(3, Math.min(6, Math.round((height - top - bottom) / 45)));

/** Ticks with their text; a logarithmic axis shows 1, 2 and 5 of each decade where it has room. */
export function ticksOf(
  scale: Scale,
  spec: AxisSpec,
  axis: "x" | "y",
  frame: Frame,
): { at: number; text: string }[] {
  const most = mostTicks(axis, frame);
  const text = { format: tickText };
  if (spec.scale === "linear") {
    const wanted = [most, 6, 5, 4, 3].map((count) => scale.ticks(Math.min(count, most)));
    const kept = wanted.find((list) => axis === "y" || fits(list.map(text.format), frame)) ?? scale.ticks(2);
    return kept.map((at) => ({ at, text: text.format(at) }));
  }
  const all = scale.ticks();
  const leading = (at: number): number => Number(at.toExponential(0).split("e")[0]);
  const kept = [[1, 2, 5], [1]].map((digits) => all.filter((at) => digits.includes(leading(at))));
  const ticks = kept.find((list) => list.length <= most + 2 && list.length >= 2) ?? all.slice(0, most);
  return ticks.map((at) => ({ at, text: text.format(at) }));
}

/** Grid lines, tick texts and labels of both axes. */
export function drawAxes(spec: ChartSpec, x: Scale, y: Scale, frame: Frame): Markup {
  const { width, height, left, right, top, bottom } = frame;
  const floor = height - bottom;
  return html`<g class="grid">${ticksOf(x, spec.x, "x", frame).map(
    ({ at, text }) =>
      html`<line x1="${r(x(at))}" x2="${r(x(at))}" y1="${top}" y2="${floor}"/><text x="${r(x(at))}" y="${floor + 18}" text-anchor="middle">${text}</text>`,
  )}${ticksOf(y, spec.y, "y", frame).map(
    ({ at, text }) =>
      html`<line x1="${left}" x2="${width - right}" y1="${r(y(at))}" y2="${r(y(at))}"/><text x="${left - 8}" y="${r(y(at) + 4.5)}" text-anchor="end">${text}</text>`,
  )}</g><text class="axis" x="${(left + width - right) / 2}" y="${height - 10}" text-anchor="middle">${spec.x.label}</text><text class="axis" transform="translate(15 ${(top + floor) / 2}) rotate(-90)" text-anchor="middle">${spec.y.label}</text>`;
}

/** A coordinate with a tenth of a unit: enough for the eye, and short. */
export const r = (value: number): number => Math.round(value * 10) / 10;

const TICK = new Intl.NumberFormat("en", { maximumSignificantDigits: 4, useGrouping: false });

/** A tick's number: thousands set apart by thin spaces, a true minus sign. */
const tickText = (at: number): string => {
  const [whole, part] = TICK.format(Math.abs(at)).split(".") as [string, string | undefined];
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
  return `${at < 0 ? "\u2212" : ""}${grouped}${part === undefined ? "" : `.${part}`}`;
};
