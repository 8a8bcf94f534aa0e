import { createHash } from "node:crypto";
import { type Figure, figureMarkup } from "./figure.js";
import { html, type Markup, ownMarkup } from "./html.js";
import { SCRIPT } from "./script.js";
import { STYLE } from "./style.js";

/** A part of the page under one heading. */
export interface Section {
  /** Unique in its part, kebab-case. */
  readonly id: string;
  readonly title: string;
  readonly intro?: Markup;
  readonly figures: readonly Figure[];
}

/** What every kind of result brings to the page. */
export interface ReportPart {
  /** Start of its ids: `plan`. */
  readonly kind: string;
  /** Its kind for people: `Plan`. */
  readonly label: string;
  readonly title: string;
  /** First screen: verdict, key figures, what was found. */
  readonly first: Markup;
  readonly sections: readonly Section[];
  /** What to know besides the cautions that every page shows. */
  readonly cautions?: readonly string[];
}

const hash = (text: string): string => `sha256-${createHash("sha256").update(text).digest("base64")}`;

/** Nothing is fetched, nothing is sent; only this style sheet and this script, by their hashes. */
const POLICY = `default-src 'none'; style-src '${hash(STYLE)}'; script-src '${hash(SCRIPT)}'; img-src 'none'; base-uri 'none'; form-action 'none'`;

/**
 * Gives every part names that are its own on this page: ids begin with the part's kind, parts of one kind are numbered,
 * and a figure's title that another one has too says which part it belongs to.
 */
export function apartFromEachOther(parts: readonly ReportPart[]): readonly ReportPart[] {
  const numbered = parts.map((part, i) => {
    const alike = parts.filter((other) => other.kind === part.kind).length;
    const number = parts.slice(0, i + 1).filter((other) => other.kind === part.kind).length;
    return {
      ...part,
      kind: alike > 1 ? `${part.kind}-${number}` : part.kind,
      label: alike > 1 ? `${part.label} ${number}` : part.label,
    };
  });
  const titles = numbered.flatMap((part) =>
    part.sections.flatMap((section) => section.figures.map((figure) => figure.title)),
  );
  const shared = (title: string): boolean => titles.filter((other) => other === title).length > 1;
  return numbered.map((part) => ({
    ...part,
    sections: part.sections.map((section) => ({
      ...section,
      id: `${part.kind}-s-${section.id}`,
      title: numbered.length === 1 ? section.title : `${part.label}: ${section.title}`,
      figures: section.figures.map((figure) => ({
        ...figure,
        id: `${part.kind}-${figure.id}`,
        title: shared(figure.title) ? `${figure.title} (${part.label})` : figure.title,
      })),
    })),
  }));
}

/** A self-contained page of one or more results. */
export function page(
  results: readonly ReportPart[],
  cautions: readonly string[],
  made: string,
  heading?: string,
): string {
  const parts = apartFromEachOther(results);
  const alone = parts.length === 1;
  const title =
    heading ??
    (alone
      ? (parts[0]?.title ?? "Result")
      : `${parts.map((part) => part.label).join(", ")}: results together`);
  const sections = parts.flatMap((part) => part.sections);
  const all = [...new Set([...cautions, ...parts.flatMap((part) => part.cautions ?? [])])];
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
<h1>${title}</h1>
${parts.map((part) =>
  alone
    ? part.first
    : html`<section aria-labelledby="${part.kind}"><h2 id="${part.kind}">${part.label}: ${part.title}</h2>${part.first}</section>`,
)}
<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">Before you drive</h2><ul>${all.map((text) => html`<li>${text}</li>`)}</ul></section>
<nav aria-label="Contents"><ul>${sections.map((section) => html`<li><a href="#${section.id}">${section.title}</a></li>`)}</ul></nav>
${sections.map(
  (section) =>
    html`<section aria-labelledby="${section.id}"><h2 id="${section.id}">${section.title}</h2>${section.intro ?? null}${section.figures.map(figureMarkup)}</section>`,
)}
</main>
<footer><p>${made}</p><p id="status" role="status" aria-live="polite"></p></footer>
<script>${ownMarkup(SCRIPT)}</script>
</body>
</html>
`;
  return markup;
}
