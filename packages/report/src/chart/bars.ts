import { scaleBand, scaleLinear } from "d3-scale";
import { html, type Markup } from "../html.js";
import { r } from "./axes.js";
import type { Tone } from "./spec.js";

/** Horizontal bars, grouped by row, against a limit. */
export interface BarsSpec {
  readonly id: string;
  readonly title: string;
  readonly description: string;
  readonly label: string;
  readonly groups: readonly {
    readonly name: string;
    readonly bars: readonly {
      readonly name: string;
      readonly value: number;
      readonly text: string;
      readonly tone: Tone;
      readonly low?: number;
      readonly high?: number;
    }[];
  }[];
  readonly limit?: { readonly at: number; readonly label: string };
}

const WIDTH = 640;
const LEFT = 12;
const RIGHT = 70;
const BAR = 18;

/** Bars as SVG. Names stand above their bars, so that long ones have room on a phone too. */
export function drawBars(spec: BarsSpec): Markup {
  const all = spec.groups.flatMap((group) => group.bars);
  const most = Math.max(0, ...all.map((bar) => Math.max(bar.value, bar.high ?? 0)), spec.limit?.at ?? 0);
  const x = scaleLinear([0, most > 0 ? most : 1], [LEFT, WIDTH - RIGHT]);
  const heights = spec.groups.map((group) => 26 + group.bars.length * (BAR + 5));
  const starts = heights.map((_, i) => 30 + heights.slice(0, i).reduce((a, b) => a + b, 0));
  const height = 30 + heights.reduce((a, b) => a + b, 0) + 30;
  const limit = spec.limit;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" role="img" aria-labelledby="${spec.id}-t ${spec.id}-d"><title id="${spec.id}-t">${spec.title}</title><desc id="${spec.id}-d">${spec.description}</desc>${spec.groups.map(
    (group, g) => {
      const start = starts[g] as number;
      const rows = scaleBand(
        group.bars.map((_, i) => i),
        [start + 8, start + 8 + group.bars.length * (BAR + 5)],
      ).padding(0.15);
      return html`<text class="axis" x="${LEFT}" y="${start}">${group.name}</text>${group.bars.map(
        (bar, i) => {
          const top = rows(i) as number;
          const middle = r(top + rows.bandwidth() / 2);
          const ranged = bar.low !== undefined && bar.high !== undefined;
          return html`<rect class="bar ${bar.tone}" x="${LEFT}" y="${r(top)}" width="${Math.max(0, r(x(bar.value) - LEFT))}" height="${r(rows.bandwidth())}"/>${ranged ? html`<g class="ranges plain"><line x1="${r(x(bar.low ?? 0))}" x2="${r(x(bar.high ?? 0))}" y1="${middle}" y2="${middle}"/></g>` : null}<text class="value" x="${r(Math.max(x(bar.value), ranged ? x(bar.high ?? 0) : 0)) + 6}" y="${middle + 4.5}">${bar.text}</text>`;
        },
      )}`;
    },
  )}${limit === undefined ? null : html`<g class="mark limit"><line x1="${r(x(limit.at))}" x2="${r(x(limit.at))}" y1="14" y2="${height - 26}"/><text x="${r(x(limit.at)) - 6}" y="14" text-anchor="end">${limit.label}</text></g>`}<text class="axis" x="${WIDTH / 2}" y="${height - 8}" text-anchor="middle">${spec.label}</text></svg>`;
}
