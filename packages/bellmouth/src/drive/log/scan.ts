import { type Delimiter, splitRow } from "../../columns/index.js";
import { BellmouthError } from "../../fault/index.js";
import { closeOfQuotedRow } from "./quoted-row.js";
import { makeRowReader } from "./row-reader.js";
import type { ScanCounts, ScanPlan } from "./scan-plan.js";

export interface Scanner {
  readonly push: (block: Uint8Array) => void;
  readonly end: () => void;
  readonly counts: ScanCounts;
}

const LF = 10;
const CR = 13;
const QUOTE = 34;
/** Longest row that is still a row [bytes]. */
const LONGEST_LINE = 1 << 24;
/** How far a quoted cell may run before its quote counts as broken [bytes]. */
const LONGEST_QUOTED = 1 << 20;
/** Broken quotes after which the scanner stops looking past the end of a line for their close. */
const PATIENCE = 3;

/** Cuts blocks of bytes into lines and rows, in constant memory: what is not whole waits for the next block. */
export function makeScanner(plan: ScanPlan): Scanner {
  const delimiter = plan.delimiter.charCodeAt(0);
  const rows = makeRowReader(plan);
  let carry: Uint8Array = new Uint8Array(0);
  let insideQuotes = false;
  let failures = 0;

  /** Reads what is whole in `bytes` and returns where the rest begins. `last` says that nothing follows. */
  const take = (bytes: Uint8Array, last: boolean): number => {
    let pos = 0;
    while (rows.line() < plan.skip) {
      const at = bytes.indexOf(LF, pos);
      if (at < 0) return pos;
      const line = rows.pass();
      plan.onSkipped?.(line, bytes.subarray(pos, at > pos && bytes[at - 1] === CR ? at - 1 : at));
      pos = at + 1;
    }
    const whole = bytes.lastIndexOf(LF) + 1;
    let quote = bytes.indexOf(QUOTE, pos);
    while (pos < bytes.length) {
      if (quote < 0) {
        if (whole > pos) rows.lines(bytes, pos, whole);
        return Math.max(pos, whole);
      }
      const lineStart = quote === 0 ? 0 : bytes.lastIndexOf(LF, quote - 1) + 1;
      const rowStart = Math.max(pos, lineStart);
      if (rowStart > pos) rows.lines(bytes, pos, rowStart);
      const lineEnd = bytes.indexOf(LF, rowStart);
      const close =
        failures < PATIENCE
          ? closeOfQuotedRow(bytes, rowStart, Math.min(bytes.length, rowStart + LONGEST_QUOTED), delimiter)
          : lineEnd;
      if (close < 0) {
        const open = bytes.length - rowStart < LONGEST_QUOTED && !last;
        if (open) {
          insideQuotes = true;
          return rowStart;
        }
        // Its quote never closes: the line stands alone, and the next one starts afresh.
        if (lineEnd < 0) return rowStart;
        failures += 1;
        rows.quoted(bytes.subarray(rowStart, lineEnd + 1), true);
        pos = lineEnd + 1;
      } else {
        rows.quoted(bytes.subarray(rowStart, close + 1), false);
        pos = close + 1;
      }
      quote = bytes.indexOf(QUOTE, pos);
    }
    return pos;
  };

  const tooLong = (length: number): void => {
    if (length <= LONGEST_LINE) return;
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "a line of the log does not end",
      found: `${length} bytes after line ${rows.line()}`,
      accepted: `lines up to ${LONGEST_LINE} bytes, ended by LF or CR LF`,
    });
  };

  const push = (block: Uint8Array): void => {
    let rest = block;
    if (carry.length > 0) {
      // Usually only the first line of the block belongs to what was left over.
      const at = insideQuotes ? block.length - 1 : block.indexOf(LF);
      const cut = at < 0 ? block.length : at + 1;
      const joined = new Uint8Array(carry.length + cut);
      joined.set(carry);
      joined.set(block.subarray(0, cut), carry.length);
      if (!insideQuotes) tooLong(joined.length);
      if (at < 0) {
        carry = joined;
        return;
      }
      insideQuotes = false;
      const used = take(joined, false);
      if (used < joined.length) {
        carry = joined.slice(used);
        if (cut === block.length) return;
        // A quote opened in that line: take the rest of the block with it.
        insideQuotes = true;
        push(block.subarray(cut));
        return;
      }
      carry = new Uint8Array(0);
      rest = block.subarray(cut);
    }
    if (rest.length === 0) return;
    const used = take(rest, false);
    tooLong(rest.length - used);
    // Not `slice`: on a Node buffer that is a view, and the sender may reuse the block.
    carry = Uint8Array.from(rest.subarray(used));
  };

  const cutAt = (bytes: Uint8Array, to: number): Uint8Array => {
    rows.counts.cut += 1;
    rows.counts.cutLine = rows.line() + 1;
    return bytes.subarray(0, to);
  };

  /** Takes the last cell out of a row that the file's end cuts off: too few cells, or fewer digits than any cell of its column. */
  const withoutCut = (bytes: Uint8Array): Uint8Array => {
    if (rows.counts.rows === 0 || bytes.includes(LF)) return bytes;
    const text = new TextDecoder("latin1").decode(bytes);
    const quotes = bytes.includes(QUOTE);
    if (quotes) {
      // A quote that opens the last cell and never closes: the cell was cut, however whole its number looks.
      const opens = text.lastIndexOf(`${plan.delimiter}"`);
      if (opens >= 0 && !text.slice(opens + 2).includes('"')) return cutAt(bytes, opens + 1);
      if (/"\s*$/.test(text)) return bytes;
    }
    const cells = quotes ? splitRow(text, plan.delimiter as Delimiter).fields : text.split(plan.delimiter);
    const last = (cells.at(-1) ?? "").trim();
    const { decimals = 0, length = 0 } = plan.lastCell ?? {};
    const short = cells.length < plan.width && rows.counts.short === 0;
    const digits = last.split(plan.decimal)[1]?.length ?? 0;
    const cut = short
      ? last !== ""
      : cells.length === plan.width &&
        last !== "" &&
        /\d/.test(last) &&
        (digits < decimals || last.length < length);
    return cut ? cutAt(bytes, bytes.length - (cells.at(-1) ?? "").length) : bytes;
  };

  const end = (): void => {
    if (plan.mendsCut === true && carry.length > 0 && rows.line() >= plan.skip) carry = withoutCut(carry);
    if (carry.length > 0) {
      const closed = new Uint8Array(carry.length + 1);
      closed.set(carry);
      closed[carry.length] = LF;
      carry = closed[closed.length - 2] === LF ? closed.subarray(0, closed.length - 1) : closed;
      const rest = carry;
      carry = new Uint8Array(0);
      take(rest, true);
    }
    rows.end();
  };

  return { push, end, counts: rows.counts };
}
