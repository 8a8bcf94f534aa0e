import { html, type Markup } from "../html.js";

/** What a picture is called: its id and its text equivalent. */
export interface Names {
  /** unique on its page */
  readonly id: string;
  readonly title: string;
  readonly description: string;
}

/** A picture of a size, with its text equivalent. */
export const svg = (
  { width, height }: { readonly width: number; readonly height: number },
  { id, title, description }: Names,
  content: Markup,
): Markup =>
  html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-labelledby="${id}-t ${id}-d"><title id="${id}-t">${title}</title><desc id="${id}-d">${description}</desc>${content}</svg>`;
