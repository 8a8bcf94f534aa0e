import type { Figure } from "bellmouth/account";
import { drawFigure } from "./figure.js";
import { STYLE } from "./style.js";

/** A picture as an SVG file of its own: carries its colours, light or dark by the viewer's wish, on its own ground. */
export function figureSvg(figure: Figure): string {
  const { markup } = drawFigure(figure);
  const size = /viewBox="0 0 (\d+) (\d+)"/.exec(markup);
  const [width, height] = [size?.[1] ?? "640", size?.[2] ?? "380"];
  const open = markup.indexOf(">") + 1;
  const head = markup.slice(0, open).replace("<svg ", `<svg width="${width}" height="${height}" `);
  return `<?xml version="1.0" encoding="UTF-8"?>\n${head}<style>${STYLE}</style><rect width="${width}" height="${height}" fill="var(--card)"/>${markup.slice(open)}\n`;
}
