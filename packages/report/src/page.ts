import { sha256 } from "@noble/hashes/sha2.js";
import { utf8ToBytes } from "@noble/hashes/utils.js";
import type { Account, AccountTable } from "bellmouth/account";
import { accountTable } from "./account-table.js";
import { figureMarkup } from "./figure.js";
import { firstScreen } from "./first-screen.js";
import { html, type Markup, ownMarkup } from "./html.js";
import { SCRIPT } from "./script.js";
import { sheet } from "./sheet.js";
import { STYLE } from "./style.js";

export interface PageOptions {
  /** Heading of the page; the account's own title, or the kinds of the accounts, where left out. */
  readonly title?: string;
  /** Date that the printed sheet shows, as text; none where left out, so that a page depends on its results alone. */
  readonly date?: string;
}

const base64 = (bytes: Uint8Array): string => btoa(String.fromCharCode(...bytes));
const hash = (text: string): string => `sha256-${base64(sha256(utf8ToBytes(text)))}`;

/** Nothing is fetched, nothing is sent; only this style sheet and this script, by their hashes. */
const policy = (): string =>
  `default-src 'none'; style-src '${hash(STYLE)}'; script-src '${hash(SCRIPT)}'; img-src 'none'; base-uri 'none'; form-action 'none'`;

/**
 * Gives every account names that are its own on this page: ids begin with the account's kind, accounts of one kind are numbered,
 * and a figure's title that another one has too says which account it belongs to.
 */
export function apartFromEachOther(accounts: readonly Account[]): readonly Account[] {
  const numbered = accounts.map((account, i) => {
    const alike = accounts.filter((other) => other.kind === account.kind).length;
    const number = accounts.slice(0, i + 1).filter((other) => other.kind === account.kind).length;
    return {
      ...account,
      kind: alike > 1 ? `${account.kind}-${number}` : account.kind,
      label: alike > 1 ? `${account.label} ${number}` : account.label,
    };
  });
  const titles = numbered.flatMap((account) => [
    ...figuresIn(account).map((figure) => figure.title),
    ...tablesIn(account).map((table) => table.caption),
  ]);
  const shared = (title: string): boolean => titles.filter((other) => other === title).length > 1;
  return numbered.map((account) => {
    const own = (figure: Account["lead"][number]): Account["lead"][number] => ({
      ...figure,
      id: `${account.kind}-${figure.id}`,
      title: shared(figure.title) ? `${figure.title} (${account.label})` : figure.title,
    });
    const named = (table: AccountTable): AccountTable => ({
      ...table,
      caption: shared(table.caption) ? `${table.caption} (${account.label})` : table.caption,
    });
    return {
      ...account,
      lead: account.lead.map(own),
      entry: account.entry.map(named),
      sections: account.sections.map((section) => ({
        ...section,
        id: `${account.kind}-s-${section.id}`,
        title: numbered.length === 1 ? section.title : `${account.label}: ${section.title}`,
        tables: section.tables.map(named),
        figures: section.figures.map(own),
      })),
    };
  });
}

/** Every picture of an account, in the order of the page. */
export const figuresIn = (account: Account): Account["lead"] => [
  ...account.lead,
  ...account.sections.flatMap((section) => section.figures),
];

const tablesIn = (account: Account): readonly AccountTable[] => [
  ...account.entry,
  ...account.sections.flatMap((section) => section.tables),
];

/** One or more accounts as a self-contained page: no network, opens from disk. */
export function accountPage(given: readonly Account[], options: PageOptions = {}): string {
  const accounts = apartFromEachOther(given);
  const [first] = accounts;
  const alone = accounts.length === 1;
  const title =
    options.title ??
    (alone
      ? (first?.title ?? "Result")
      : `${accounts.map((account) => account.label).join(", ")}: results together`);
  const sections = accounts.flatMap((account) =>
    account.sections.map((section) => ({ section, kind: account.kind })),
  );
  const cautions = [...new Set(accounts.flatMap((account) => account.cautions))];
  const sheets = accounts.map((account) => sheet(account, options.date));
  const { markup } = html`<!doctype html>
<html lang="en"${sheets.some((one) => one !== null) ? html` class="has-sheet"` : null}>
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy()}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>${title}</title>
<style>${ownMarkup(STYLE)}</style>
</head>
<body>
<a class="skip" href="#first">Skip to the result</a>
<main id="first">
<h1>${title}</h1>
${accounts.map((account) =>
  alone
    ? firstScreen(account, "Then, in this order", 2)
    : html`<section aria-labelledby="${account.kind}"><h2 id="${account.kind}">${account.label}: ${account.title}</h2>${firstScreen(account, `${account.label}: next steps`, 3)}</section>`,
)}
${cautionsMarkup(cautions)}
<nav aria-label="Contents"><ul>${sections.map(({ section }) => html`<li><a href="#${section.id}">${section.title}</a></li>`)}</ul></nav>
${sections.map(({ section, kind }) => sectionMarkup(section, kind))}
</main>
${sheets}
<footer><p>Made with bellmouth. Results give 95 % intervals; ± is only ever the standard uncertainty of an entered value.</p><p id="status" role="status" aria-live="polite"></p></footer>
<script>${ownMarkup(SCRIPT)}</script>
</body>
</html>
`;
  return markup;
}

const cautionsMarkup = (cautions: readonly string[]): Markup | null =>
  cautions.length === 0
    ? null
    : html`<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">Before you drive</h2><ul>${cautions.map((text) => html`<li>${text}</li>`)}</ul></section>`;

const sectionMarkup = (section: Account["sections"][number], kind: string): Markup =>
  html`<section aria-labelledby="${section.id}"><h2 id="${section.id}">${section.title}</h2>${section.text.map((text) => html`<p>${text}</p>`)}${section.tables.map((table) => accountTable(table, `${kind}-${table.id}-table`))}<div class="pictures">${section.figures.map((figure) => figureMarkup(figure))}</div></section>`;
