import type { AccountTable } from "bellmouth/account";
import { heading, type Level } from "./figure.js";
import { html, type Markup } from "./html.js";

/** An account's table: values to type in stand out, groups are parted, sums stand under it. */
export function accountTable(table: AccountTable, id: string, level: Level = 3): Markup {
  const { columns } = table;
  const kind = (c: number): string =>
    [
      columns[c]?.align === "left" ? "text" : "",
      columns[c]?.strong === true ? "strong" : "",
      columns[c]?.wide === true ? "wide" : "",
    ]
      .filter((name) => name !== "")
      .join(" ");
  const head = columns.map(
    ({ name, unit }, c) =>
      html`<th scope="col" class="${kind(c)}">${name}${unit === "" ? null : html`<small>${unit}</small>`}</th>`,
  );
  const row = (cells: readonly string[]): readonly Markup[] =>
    cells.map((cell, c) => html`<td class="${kind(c)}">${cell}</td>`);
  const body = table.rows.map(
    ({ cells, group, dim }) =>
      html`${group === undefined ? null : html`<tr class="group"><th scope="rowgroup" colspan="${columns.length}">${group}</th></tr>`}<tr${dim === true ? html` class="dim"` : null}>${row(cells)}</tr>`,
  );
  const button =
    table.copy === undefined
      ? null
      : html`<p class="tools"><button type="button" data-block="${table.copy.join(",")}">Copy as spreadsheet cells</button></p>`;
  return html`<div class="table" id="${id}">${heading(level, table.caption)}${table.hint === "" ? null : html`<p class="hint">${table.hint}</p>`}${button}<div class="scroll" tabindex="0" role="group" aria-label="${table.caption}"><table class="account"><caption class="unseen">${table.caption}</caption><thead><tr>${head}</tr></thead><tbody>${body}</tbody></table></div>${table.sums === undefined ? null : html`<p class="sums">${table.sums}</p>`}</div>`;
}
