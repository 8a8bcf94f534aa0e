import { createHash } from "node:crypto";
import { type Figure, figureMarkup } from "./figure.js";
import { html, type Markup, ownMarkup } from "./html.js";
import { SCRIPT } from "./script.js";
import { STYLE } from "./style.js";

/** A part of the page under one heading. */
export interface Section {
  readonly id: string;
  readonly title: string;
  readonly intro?: Markup;
  readonly figures: readonly Figure[];
  readonly after?: Markup;
}

/** What every kind of result brings to the page. */
export interface ReportPart {
  readonly title: string;
  /** First screen: verdict, key figures, what was found. */
  readonly first: Markup;
  readonly sections: readonly Section[];
}

const hash = (text: string): string => `sha256-${createHash("sha256").update(text).digest("base64")}`;

/** Nothing is fetched, nothing is sent; only this style sheet and this script, by their hashes. */
const POLICY = `default-src 'none'; style-src '${hash(STYLE)}'; script-src '${hash(SCRIPT)}'; img-src 'none'; base-uri 'none'; form-action 'none'`;

/** A self-contained page of one or more results. */
export function page(parts: readonly ReportPart[], cautions: readonly string[], made: string): string {
  const title = parts[0]?.title ?? "Result";
  const sections = parts.flatMap((part) => part.sections);
  const { markup } = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>${title}</title>
<style>${ownMarkup(STYLE)}</style>
</head>
<body>
<a class="skip" href="#first">Skip to the result</a>
<main id="first">
${parts.map((part, i) => html`${i === 0 ? html`<h1>${part.title}</h1>` : html`<h2>${part.title}</h2>`}${part.first}`)}
<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">Before you drive</h2><ul>${cautions.map((text) => html`<li>${text}</li>`)}</ul></section>
<nav aria-label="Contents"><ul>${sections.map((section) => html`<li><a href="#${section.id}">${section.title}</a></li>`)}</ul></nav>
${sections.map(
  (section) =>
    html`<section aria-labelledby="${section.id}"><h2 id="${section.id}">${section.title}</h2>${section.intro ?? null}${section.figures.map(figureMarkup)}${section.after ?? null}</section>`,
)}
</main>
<footer><p>${made}</p><p id="status" role="status" aria-live="polite"></p></footer>
<script>${ownMarkup(SCRIPT)}</script>
</body>
</html>
`;
  return markup;
}
