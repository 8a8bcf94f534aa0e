/** Markup that is already safe; everything else is escaped when it is put into a template. */
export interface Markup {
  readonly markup: string;
}

type Part = string | number | Markup | readonly Part[] | null | undefined | false;

/**
 * Text as HTML or SVG text or a quoted attribute value. Characters that XML has no place for, not even escaped, would make
 * a picture unreadable: they become the replacement character.
 */
export const escapeHtml = (text: string): string =>
  text
    .replace(/[^\P{Cc}\t\n\r]|[\p{Cs}\ufffe\uffff]/gu, "\ufffd")
    .replace(/&/g, "&amp;")
    .replace(/</g, "&lt;")
    .replace(/>/g, "&gt;")
    .replace(/"/g, "&quot;")
    .replace(/'/g, "&#39;");

function render(part: Part): string {
  if (part === null || part === undefined || part === false) return "";
  if (typeof part === "string") return escapeHtml(part);
  if (typeof part === "number") return escapeHtml(String(part));
  if ("markup" in part) return part.markup;
  return part.map(render).join("");
}

/** Template of markup: what is put in is escaped unless it is markup itself, so user text cannot become markup. */
export function html(strings: TemplateStringsArray, ...parts: readonly Part[]): Markup {
  return { markup: strings.map((text, i) => text + render(parts[i])).join("") };
}

/** Markup that the project itself wrote: a style sheet or a script. Never for anything a user gave. */
export const ownMarkup = (markup: string): Markup => ({ markup });
