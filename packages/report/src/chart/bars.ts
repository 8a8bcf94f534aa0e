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

/** Room for the longest text after a bar [SVG units]: about 0.6 em a letter, in the larger letters of a phone. */
const textRoom = (texts: readonly string[]): number =>
  Math.min(WIDTH / 2, Math.max(RIGHT, ...texts.map((text) => 16 + 10.8 * text.length)));

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
  const heights = spec.groups.map((group) => 30 + group.bars.length * (BAR + 5));
  const starts = heights.map((_, i) => 36 + heights.slice(0, i).reduce((a, b) => a + b, 0));
  const height = 36 + heights.reduce((a, b) => a + b, 0) + 30;
  const limit = spec.limit;
  // In layers, so that the limit crosses the bars and the texts stay readable on it.
  const rowsOf = (group: BarsSpec["groups"][number], start: number): readonly Placed[] => {
    const rows = scaleBand(
      group.bars.map((_, i) => i),
      [start + 8, start + 8 + group.bars.length * (BAR + 5)],
    ).padding(0.15);
    return group.bars.map((bar, i) => ({ bar, top: rows(i) as number, thick: rows.bandwidth() }));
  };
  const placed = spec.groups.flatMap((group, g) => rowsOf(group, starts[g] as number));
  const shapes = placed.map(({ bar, top, thick }) => {
    const ends = [x(bar.value), x(0)];
    return html`<rect class="bar ${bar.tone}" x="${r(Math.min(...ends))}" y="${r(top)}" width="${r(Math.abs(x(bar.value) - x(0)))}" height="${r(thick)}"/>${bar.low === undefined || bar.high === undefined ? null : whisker(x(bar.low), x(bar.high), top + thick / 2)}`;
  });
  const texts = placed.map(({ bar, top, thick }) => {
    const after = Math.max(x(bar.value), x(0), x(bar.high ?? 0));
    return html`<text class="value" x="${r(after + 6)}" y="${r(top + thick / 2 + 4.5)}">${bar.text}</text>`;
  });
  const names = spec.groups.map(
    (group, g) => html`<text class="axis name" x="${LEFT}" y="${starts[g] as number}">${group.name}</text>`,
  );
  const upright = (at: number): Markup =>
    html`<line x1="${r(at)}" x2="${r(at)}" y1="18" y2="${height - 26}"/>`;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" role="img" aria-labelledby="${spec.id}-t ${spec.id}-d"><title id="${spec.id}-t">${spec.title}</title><desc id="${spec.id}-d">${spec.description}</desc>${shapes}${least < 0 ? html`<g class="zero">${upright(x(0))}</g>` : null}${limit === undefined ? null : html`<g class="mark limit">${upright(x(limit.at))}<text x="${r(x(limit.at)) - 6}" y="19" text-anchor="end">${limit.label}</text></g>`}${names}${texts}<text class="axis" x="${WIDTH / 2}" y="${height - 8}" text-anchor="middle">${spec.label}</text></svg>`;
}

interface Placed {
  readonly bar: BarsSpec["groups"][number]["bars"][number];
  readonly top: number;
  readonly thick: number;
}

/** An interval on a bar, with end strokes. */
function whisker(low: number, high: number, y: number): Markup {
  const [a, b, middle] = [r(low), r(high), r(y)];
  const end = (at: number): Markup =>
    html`<line x1="${at}" x2="${at}" y1="${r(middle - 4)}" y2="${r(middle + 4)}"/>`;
  return html`<g class="whisker"><line x1="${a}" x2="${b}" y1="${middle}" y2="${middle}"/>${end(a)}${end(b)}</g>`;
}
