import { html, type Markup } from "./html.js";

/** A column of a data table: numbers as they are to be pasted, shown rounded; or text. */
export type Column =
  | { readonly name: string; readonly values: readonly number[]; readonly digits?: number }
  | { readonly name: string; readonly text: readonly string[] };

/** A number to paste: seven digits at most, plain, with a point; empty where it is missing. */
const paste = (value: number): string => (Number.isFinite(value) ? String(Number(value.toPrecision(7))) : "");
const show = (value: number, digits: number): string =>
  Number.isFinite(value) ? String(Number(value.toPrecision(digits))) : "–";

/** A table whose columns, and the whole, can be copied as tab-separated text. */
export function dataTable(caption: string, columns: readonly Column[]): Markup {
  const rows = Math.max(
    0,
    ...columns.map((column) => ("text" in column ? column.text : column.values).length),
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
          : cell(column.values[k] ?? Number.NaN, column.digits ?? 5),
      )}</tr>`,
  );
  return html`<div class="scroll" tabindex="0" role="region" aria-label="${caption}"><table><caption>${caption} <button type="button" data-copy="all">copy table</button></caption><thead><tr>${head}</tr></thead><tbody>${body}</tbody></table></div>`;
}

function cell(value: number, digits: number): Markup {
  const exact = paste(value);
  const shown = show(value, digits);
  // The exact value travels only where rounding hides something: most cells are short.
  return exact === shown ? html`<td>${shown}</td>` : html`<td data-value="${exact}">${shown}</td>`;
}
