import type { BarsSpec } from "bellmouth/account";
import { scaleBand, scaleLinear } from "d3-scale";
import { html, type Markup } from "../html.js";
import { r } from "./axes.js";
import { frameOf, type Width } from "./frame.js";
import { type Names, svg } from "./svg.js";

const LEFT = 12;
const RIGHT = 70;
const BAR = 18;

/** Room for the longest text after a bar [SVG units]: about 0.6 em a letter. */
const textRoom = (texts: readonly string[], width: number): number =>
  Math.min(
    width / 2,
    texts.reduce((most, text) => Math.max(most, 14 + 7.4 * text.length), RIGHT),
  );

/** Bars as SVG. Names stand above their bars, so that long ones have room on a phone too. */
export function drawBars(spec: BarsSpec, names: Names, of: Width = "wide"): Markup {
  const { width } = frameOf(of);
  const all = spec.groups.flatMap((group) => group.bars);
  const ends = all.flatMap((bar) => [bar.value, bar.low ?? 0, bar.high ?? 0]);
  const most = ends.reduce((a, b) => Math.max(a, b), Math.max(0, spec.limit?.at ?? 0));
  const least = ends.reduce((a, b) => Math.min(a, b), 0);
  const x = scaleLinear(
    [least, most > least ? most : 1],
    [
      LEFT,
      width -
        textRoom(
          all.map((bar) => bar.text),
          width,
        ),
    ],
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
  const heads = spec.groups.map(
    (group, g) => html`<text class="axis name" x="${LEFT}" y="${starts[g] as number}">${group.name}</text>`,
  );
  const upright = (at: number): Markup =>
    html`<line x1="${r(at)}" x2="${r(at)}" y1="18" y2="${height - 26}"/>`;
  return svg(
    { width, height },
    names,
    html`${shapes}${least < 0 ? html`<g class="zero">${upright(x(0))}</g>` : null}${limit === undefined ? null : html`<g class="mark limit">${upright(x(limit.at))}<text x="${r(x(limit.at)) - 6}" y="15" text-anchor="end">${limit.label}</text></g>`}${heads}${texts}<text class="axis" x="${width / 2}" y="${height - 8}" text-anchor="middle">${spec.label}</text>`,
  );
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
