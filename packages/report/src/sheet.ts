import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import type { Account, AccountTable } from "bellmouth/account";
import { html, type Markup } from "./html.js";

/** Rows that stand above each other on a sheet of A4 or Letter in 8 pt. */
const ROWS = 64;

/** Short hash of what is to be typed in: tells one printed table from another. */
export const entryHash = (tables: readonly AccountTable[]): string =>
  bytesToHex(
    sha256(
      utf8ToBytes(
        tables
          .map(({ rows, copy }) =>
            rows.map(({ cells }) => (copy ?? []).map((c) => cells[c] ?? "").join("\t")).join("\n"),
          )
          .join("\n\n"),
      ),
    ),
  ).slice(0, 12);

/** The sheet to take to the car, seen in print only: values, sums, steps, when to stop, hash and date. */
export function sheet(account: Account, date: string | undefined): Markup | null {
  const { entry, steps, stop, title, verdict } = account;
  if (entry.length === 0) return null;
  return html`<section class="sheet" aria-hidden="true"><p class="head"><b>${title}</b> ${verdict.words}. Table ${entryHash(entry)}${date === undefined ? null : `, ${date}`}.</p><div class="columns">${entry.map(blocks)}<div class="todo"><ol>${steps.map(
    ({ head, text }) => html`<li><b>${head}.</b> ${text}</li>`,
  )}</ol>${stop === null ? null : html`<p><b>Stop:</b> ${stop}</p>`}${account.cautions.map((text) => html`<p class="law">${text}</p>`)}</div></div></section>`;
}

/** A table in blocks that fit a sheet's height, with the columns that are typed. */
function blocks(table: AccountTable): readonly Markup[] {
  const kept = table.copy ?? [];
  const count = Math.max(1, Math.ceil(table.rows.length / ROWS));
  return Array.from({ length: count }, (_, k) => {
    const rows = table.rows.slice(k * ROWS, (k + 1) * ROWS);
    const last = k === count - 1;
    return html`<div class="block"><table><caption>${table.caption}${count > 1 ? ` (${k + 1} of ${count})` : ""}</caption><thead><tr>${kept.map(
      (c) => html`<th>${table.columns[c]?.name} <small>${table.columns[c]?.unit}</small></th>`,
    )}</tr></thead><tbody>${rows.map(({ cells }) => html`<tr>${kept.map((c) => html`<td>${cells[c]}</td>`)}</tr>`)}</tbody></table>${last && table.sums !== undefined ? html`<p>${table.sums}</p>` : null}</div>`;
  });
}
