import type { Figure, Tone } from "bellmouth/account";
import { drawBars } from "./chart/bars.js";
import { drawChart } from "./chart/draw.js";
import type { Width } from "./chart/frame.js";
import { drawStack } from "./chart/stack.js";
import { dataTable } from "./data-table.js";
import { html, type Markup } from "./html.js";

/** The picture alone, as SVG, drawn for a page's column or for a phone. */
export function drawFigure(figure: Figure, width: Width = "wide"): Markup {
  const names = {
    id: width === "wide" ? figure.id : `${figure.id}-narrow`,
    title: figure.title,
    description: figure.words,
  };
  const { picture } = figure;
  switch (picture.kind) {
    case "chart":
      return drawChart(picture.spec, names, width);
    case "stack":
      return drawStack(picture.spec, names, width);
    case "bars":
      return drawBars(picture.spec, names, width);
  }
}

interface Key {
  readonly name: string;
  readonly tone: Tone;
  readonly form: "line" | "dashed" | "band" | "points" | "ranges" | "fill";
}

/** Names with their colours and forms, of what is not labelled in the picture; shared names are told once. */
function legendOf({ picture }: Figure): readonly Key[] {
  const all: readonly Key[] =
    picture.kind === "chart"
      ? picture.spec.series.flatMap((one) =>
          one.kind === "line" && one.direct === true
            ? []
            : [
                {
                  name: one.name,
                  tone: one.tone,
                  form: one.kind === "line" && one.dashed === true ? ("dashed" as const) : one.kind,
                },
              ],
        )
      : picture.kind === "stack"
        ? picture.spec.layers.map((layer) => ({ ...layer, form: "fill" }))
        : picture.spec.groups.flatMap((group) =>
            group.bars.map(({ name, tone }) => ({ name, tone, form: "fill" as const })),
          );
  return all.filter((one, i) => one.name !== "" && all.findIndex((other) => other.name === one.name) === i);
}

/** A small picture of how a series is drawn: forms are told apart without colour too. */
function keyMarkup({ tone, form }: Key): Markup {
  const drawn = {
    line: html`<path class="line ${tone}" d="M0 7H28"/>`,
    dashed: html`<path class="line ${tone} dashed" d="M0 7H28"/>`,
    band: html`<rect class="band ${tone}" width="28" height="14"/>`,
    points: html`<g class="dots ${tone}"><circle cx="14" cy="7" r="5"/></g>`,
    ranges: html`<g class="ranges ${tone}"><line x1="14" x2="14" y1="0" y2="14"/><circle cx="14" cy="7" r="4"/></g>`,
    fill: html`<rect class="bar ${tone}" width="28" height="14" rx="2"/>`,
  }[form];
  return html`<svg viewBox="0 0 28 14" aria-hidden="true">${drawn}</svg>`;
}

/** Level of a heading, so that none is left out on a page. */
export type Level = 2 | 3;

/** A heading within the flow of a screen. */
export const heading = (level: Level, text: string): Markup =>
  level === 2 ? html`<h2 class="minor">${text}</h2>` : html`<h3>${text}</h3>`;

/** A figure for the page: heading, picture, key, words, data. */
export function figureMarkup(figure: Figure, level: Level = 3): Markup {
  const legend = legendOf(figure);
  const keyed = legend.length > 1 || legend[0]?.form === "band";
  return html`<figure id="${figure.id}">${heading(level, figure.title)}<div class="w">${drawFigure(figure)}</div><div class="n">${drawFigure(figure, "narrow")}</div>${
    keyed
      ? html`<ul class="legend">${legend.map((one) => html`<li>${keyMarkup(one)}${one.name}</li>`)}</ul>`
      : null
  }<figcaption>${figure.words}</figcaption><details><summary>Data of this picture</summary>${dataTable(figure.title, figure.data)}</details></figure>`;
}
