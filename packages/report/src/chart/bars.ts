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

/** Room for the longest text after a bar [SVG units]: about half an em a letter. */
const textRoom = (texts: readonly string[]): number =>
  Math.min(WIDTH / 2, Math.max(RIGHT, ...texts.map((text) => 14 + 7 * text.length)));

/** Bars as SVG. Names stand above their bars, so that long ones have room on a phone too. */
export function drawBars(spec: BarsSpec): Markup {
  const all = spec.groups.flatMap((group) => group.bars);
  const ends = all.flatMap((bar) => [bar.value, bar.low ?? 0, bar.high ?? 0]);
  const most = Math.max(0, ...ends, spec.limit?.at ?? 0);
  const least = Math.min(0, ...ends);
  const x = scaleLinear(
    [least, most > least ? most : 1],
    [LEFT, WIDTH - textRoom(all.map((bar) => bar.text))],
  );
  const zero = r(x(0));
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
          return html`<rect class="bar ${bar.tone}" x="${r(Math.min(x(bar.value), x(0)))}" y="${r(top)}" width="${r(Math.abs(x(bar.value) - x(0)))}" height="${r(rows.bandwidth())}"/>${ranged ? html`<g class="whisker"><line x1="${r(x(bar.low ?? 0))}" x2="${r(x(bar.high ?? 0))}" y1="${middle}" y2="${middle}"/><line x1="${r(x(bar.low ?? 0))}" x2="${r(x(bar.low ?? 0))}" y1="${middle - 4}" y2="${middle + 4}"/><line x1="${r(x(bar.high ?? 0))}" x2="${r(x(bar.high ?? 0))}" y1="${middle - 4}" y2="${middle + 4}"/></g>` : null}<text class="value" x="${r(Math.max(x(bar.value), x(0), ranged ? x(bar.high ?? 0) : 0) + 6)}" y="${middle + 4.5}">${bar.text}</text>`;
        },
      )}`;
    },
  )}${least < 0 ? html`<g class="zero"><line x1="${zero}" x2="${zero}" y1="14" y2="${height - 26}"/></g>` : null}${limit === undefined ? null : html`<g class="mark limit"><line x1="${r(x(limit.at))}" x2="${r(x(limit.at))}" y1="14" y2="${height - 26}"/><text x="${r(x(limit.at)) - 6}" y="14" text-anchor="end">${limit.label}</text></g>`}<text class="axis" x="${WIDTH / 2}" y="${height - 8}" text-anchor="middle">${spec.label}</text></svg>`;
}
