import type { Column } from "bellmouth/account";
import { columnDecimals, fixed } from "bellmouth/text";
import { html, type Markup } from "./html.js";

/** A number to paste: seven digits at most, plain, with a point; empty where it is missing. */
const paste = (value: number): string => (Number.isFinite(value) ? String(Number(value.toPrecision(7))) : "");

/** A table whose columns, and the whole, can be copied as tab-separated text. */
export function dataTable(caption: string, columns: readonly Column[]): Markup {
  const rows = columns.reduce(
    (most, column) => Math.max(most, ("text" in column ? column.text : column.values).length),
    0,
  );
  // One rule for a column: as many decimals as its largest value needs to show its digits.
  const decimals = columns.map((column) =>
    "text" in column ? 0 : columnDecimals(column.values, column.digits ?? 5),
  );
  const head = columns.map(
    (column, i) =>
      html`<th scope="col" data-name="${column.name}"${"text" in column && i > 0 ? html` class="text"` : null}>${column.name}<button type="button" data-copy="${i}" aria-label="copy column ${column.name}">copy</button></th>`,
  );
  const body = Array.from(
    { length: rows },
    (_, k) =>
      html`<tr>${columns.map((column, i) =>
        "text" in column
          ? html`<td${i > 0 ? html` class="text"` : null}>${column.text[k] ?? ""}</td>`
          : cell(column.values[k] ?? Number.NaN, decimals[i] ?? 0),
      )}</tr>`,
  );
  return html`<div class="scroll" tabindex="0" role="region" aria-label="${caption}"><table><caption>${caption} <button type="button" data-copy="all">copy table</button></caption><thead><tr>${head}</tr></thead><tbody>${body}</tbody></table></div>`;
}

function cell(value: number, decimals: number): Markup {
  const exact = paste(value);
  const shown = fixed(value, decimals);
  // The exact value travels only where rounding hides something: most cells are short.
  return exact === shown ? html`<td>${shown}</td>` : html`<td data-value="${exact}">${shown}</td>`;
}
