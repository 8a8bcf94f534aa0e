import { type BarsSpec, drawBars } from "./chart/bars.js";
import { drawChart } from "./chart/draw.js";
import type { ChartSpec, Tone } from "./chart/spec.js";
import { drawStack, type StackSpec } from "./chart/stack.js";
import { type Column, dataTable } from "./data-table.js";
import { html, type Markup } from "./html.js";

/** One picture with its words and its numbers. */
export interface Figure {
  readonly id: string;
  readonly title: string;
  /** What the picture shows, in a sentence or two with figures: its text equivalent. */
  readonly words: string;
  readonly picture:
    | { readonly kind: "chart"; readonly spec: Omit<ChartSpec, "id" | "title" | "description"> }
    | { readonly kind: "stack"; readonly spec: Omit<StackSpec, "id" | "title" | "description"> }
    | { readonly kind: "bars"; readonly spec: Omit<BarsSpec, "id" | "title" | "description"> };
  readonly data: readonly Column[];
}

/** The picture alone, as SVG. */
export function drawFigure(figure: Figure): Markup {
  const names = { id: figure.id, title: figure.title, description: figure.words };
  const { picture } = figure;
  switch (picture.kind) {
    case "chart":
      return drawChart({ ...picture.spec, ...names });
    case "stack":
      return drawStack({ ...picture.spec, ...names });
    case "bars":
      return drawBars({ ...picture.spec, ...names });
  }
}

/** Names with their colours; shared names are told once. */
function legendOf({
  picture,
}: Figure): readonly { readonly name: string; readonly tone: Tone; readonly dashed: boolean }[] {
  const all =
    picture.kind === "chart"
      ? picture.spec.series.map((one) => ({
          name: one.name,
          tone: one.tone,
          dashed: one.kind === "line" && one.dashed === true,
        }))
      : picture.kind === "stack"
        ? picture.spec.layers.map((layer) => ({ ...layer, dashed: false }))
        : picture.spec.groups.flatMap((group) =>
            group.bars.map(({ name, tone }) => ({ name, tone, dashed: false })),
          );
  return all.filter((one, i) => one.name !== "" && all.findIndex((other) => other.name === one.name) === i);
}

/** A figure for the page: heading, picture, legend, words, data. */
export function figureMarkup(figure: Figure): Markup {
  const legend = legendOf(figure);
  const key = (tone: Tone, dashed: boolean): Markup =>
    dashed
      ? html`<svg viewBox="0 0 28 14" aria-hidden="true"><path class="line ${tone} dashed" d="M0 7H28"/></svg>`
      : html`<svg class="key ${tone}" viewBox="0 0 28 14" aria-hidden="true"><rect width="28" height="14" rx="2"/></svg>`;
  return html`<figure id="${figure.id}"><h3>${figure.title}</h3><div class="scroll" tabindex="0" role="group" aria-label="picture: ${figure.title}">${drawFigure(figure)}</div>${
    legend.length > 1
      ? html`<ul class="legend">${legend.map(({ name, tone, dashed }) => html`<li>${key(tone, dashed)}${name}</li>`)}</ul>`
      : null
  }<figcaption>${figure.words}</figcaption><details><summary>Data of this picture</summary>${dataTable(figure.title, figure.data)}</details></figure>`;
}
