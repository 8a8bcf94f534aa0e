import { BellmouthError } from "../../fault/index.js";
import { clockValue, type DecimalMark, type FieldValue, fieldValue } from "./field.js";
import { closeOfQuotedRow, splitRow } from "./quoted-row.js";

/** How one wanted column is read. */
export type SlotKind =
  | { readonly kind: "number" }
  | { readonly kind: "clock" }
  | { readonly kind: "words"; readonly words: ReadonlyMap<string, number> };

export interface ScanPlan {
  readonly delimiter: string;
  readonly decimal: DecimalMark;
  /** Columns the header names. */
  readonly width: number;
  /** Wanted columns, from 0, each once. */
  readonly wanted: readonly number[];
  /** How each wanted column is read. */
  readonly kinds: readonly SlotKind[];
  /** Lines before the first row of values. */
  readonly skip: number;
  /** Called with each skipped line (number from 1, bytes without line end). */
  readonly onSkipped?: (line: number, bytes: Uint8Array) => void;
  readonly blockRows: number;
  /**
   * Takes `rows` rows; returns how many of the last it wants to see again at the front of the next block, at most
   * half of them and none after the `last` block.
   */
  readonly onBlock: (rows: number, values: readonly Float64Array[], last: boolean) => number;
  /** Of the bytes as they reach the scanner; UTF-8 unless said. */
  readonly encoding?: "utf-8" | "windows-1252";
}

/** What the scanner counted. Lines are of the file, from 1. */
export interface ScanCounts {
  rows: number;
  blank: number;
  short: number;
  shortLine: number;
  long: number;
  longLine: number;
  quoted: number;
  quotedLine: number;
  broken: number;
  brokenLine: number;
  /** Per wanted column. */
  readonly missing: Uint32Array;
  readonly unreadable: Uint32Array;
  readonly unreadableLine: Uint32Array;
  readonly unreadableText: string[];
}

export interface Scanner {
  readonly push: (block: Uint8Array) => void;
  readonly end: () => void;
  readonly counts: ScanCounts;
}

const LF = 10;
const CR = 13;
const SPACE = 32;
const QUOTE = 34;
/** Longest row that is still a row [bytes]. */
const LONGEST_LINE = 1 << 24;
/** How far a quoted cell may run before its quote counts as broken [bytes]. */
const LONGEST_QUOTED = 1 << 20;
/** Broken quotes after which the scanner stops looking past the end of a line for their close. */
const PATIENCE = 3;
/** Powers of ten that a double holds exactly. */
const POWERS = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));
/** Digits that always fit a double exactly as an integer. */
const EXACT_DIGITS = 15;

/**
 * Reads rows from blocks of bytes into columns of numbers, in constant memory.
 *
 * A number of up to 15 digits is its digits as an integer over (or times) a power of ten up to 1e22: both are exact,
 * so one division rounds once, which is what `Number()` gives. Everything else is handed to `fieldValue`, and a row
 * with a quote in it to the general CSV reader.
 */
export function makeScanner(plan: ScanPlan): Scanner {
  const delimiter = plan.delimiter.charCodeAt(0);
  const decimal = plan.decimal.charCodeAt(0);
  const { width, blockRows } = plan;
  const slotOf = new Int32Array(width).fill(-1);
  plan.wanted.forEach((column, slot) => {
    slotOf[column] = slot;
  });
  const slots = plan.wanted.length;
  // Past the last wanted column only the end of the line matters.
  const lastWanted = Math.max(-1, ...plan.wanted);
  const out = plan.wanted.map(() => new Float64Array(blockRows));
  const decoder = new TextDecoder(plan.encoding ?? "utf-8");
  const counts: ScanCounts = {
    rows: 0,
    blank: 0,
    short: 0,
    shortLine: 0,
    long: 0,
    longLine: 0,
    quoted: 0,
    quotedLine: 0,
    broken: 0,
    brokenLine: 0,
    missing: new Uint32Array(slots),
    unreadable: new Uint32Array(slots),
    unreadableLine: new Uint32Array(slots),
    unreadableText: plan.wanted.map(() => ""),
  };
  let line = 0;
  let filled = 0;
  let carry: Uint8Array = new Uint8Array(0);
  let insideQuotes = false;
  let failures = 0;

  const flush = (last: boolean): void => {
    const keep = plan.onBlock(filled, out, last);
    if (keep > 0) for (const column of out) column.copyWithin(0, filled - keep, filled);
    filled = keep;
  };

  const note = (slot: number, field: FieldValue, text: string): number => {
    if (field.state === "missing") counts.missing[slot]! += 1;
    else if (field.state === "unreadable") {
      counts.unreadable[slot]! += 1;
      if (counts.unreadableLine[slot] === 0) {
        counts.unreadableLine[slot] = line + 1;
        counts.unreadableText[slot] = text.trim().slice(0, 40);
      }
    }
    return field.value;
  };

  const readText = (slot: number, text: string): number => {
    const kind = plan.kinds[slot] as SlotKind;
    if (kind.kind === "number") return note(slot, fieldValue(text, plan.decimal), text);
    if (kind.kind === "clock") return note(slot, clockValue(text), text);
    const word = text.trim();
    const value = kind.words.get(word);
    if (value !== undefined) return value;
    return note(slot, { value: Number.NaN, state: word === "" ? "missing" : "unreadable" }, text);
  };

  /** A cell that is not a plain number. The common clock `HH:MM:SS.mmm` is read without making text of it. */
  const readOdd = (slot: number, bytes: Uint8Array, start: number, end: number): number => {
    if ((plan.kinds[slot] as SlotKind).kind === "clock") {
      const seconds = clockBytes(bytes, start, end);
      if (seconds >= 0) return seconds;
    }
    return readText(slot, decoder.decode(bytes.subarray(start, end)));
  };

  const endRow = (fields: number, extra: boolean): void => {
    line += 1;
    if (fields < width) {
      counts.short += 1;
      if (counts.shortLine === 0) counts.shortLine = line;
      for (let column = fields; column <= lastWanted; column++) {
        const slot = slotOf[column] as number;
        if (slot >= 0) {
          (out[slot] as Float64Array)[filled] = Number.NaN;
          counts.missing[slot]! += 1;
        }
      }
    } else if (extra) {
      counts.long += 1;
      if (counts.longLine === 0) counts.longLine = line;
    }
    counts.rows += 1;
    filled += 1;
    if (filled === blockRows) flush(false);
  };

  const plainNumber = slots === 0 ? [] : plan.kinds.map((kind) => kind.kind === "number");

  /** Reads whole lines without quotes from `bytes[from..to)`, the last byte of which is a line end. */
  const scanLines = (bytes: Uint8Array, from: number, to: number): void => {
    let pos = from;
    while (pos < to) {
      let c = bytes[pos] as number;
      if (c === LF || (c === CR && bytes[pos + 1] === LF)) {
        counts.blank += 1;
        line += 1;
        pos += c === LF ? 1 : 2;
        continue;
      }
      let column = 0;
      let extra = false;
      for (;;) {
        const slot = column <= lastWanted ? (slotOf[column] as number) : -1;
        if (slot < 0) {
          if (column >= width) {
            // Cells past the header: an empty one is only a trailing delimiter.
            const start = pos;
            c = bytes[pos] as number;
            while (c !== delimiter && c !== LF) c = bytes[++pos] as number;
            for (let i = start; i < pos; i++) {
              const byte = bytes[i] as number;
              if (byte !== SPACE && byte !== CR) extra = true;
            }
          } else {
            c = bytes[pos] as number;
            while (c !== delimiter && c !== LF) c = bytes[++pos] as number;
          }
        } else {
          const start = pos;
          c = bytes[pos] as number;
          while (c === SPACE) c = bytes[++pos] as number;
          let negative = false;
          if (c === 45) {
            negative = true;
            c = bytes[++pos] as number;
          } else if (c === 43) c = bytes[++pos] as number;
          let mantissa = 0;
          let from = pos;
          while (c >= 48 && c <= 57) {
            mantissa = mantissa * 10 + (c - 48);
            c = bytes[++pos] as number;
          }
          let digits = pos - from;
          let power = 0;
          if (c === decimal && decimal !== delimiter) {
            c = bytes[++pos] as number;
            from = pos;
            while (c >= 48 && c <= 57) {
              mantissa = mantissa * 10 + (c - 48);
              c = bytes[++pos] as number;
            }
            power = pos - from;
            digits += power;
            power = -power;
          }
          let fine = digits > 0 && digits <= EXACT_DIGITS;
          if (fine && (c === 101 || c === 69)) {
            c = bytes[++pos] as number;
            let down = false;
            if (c === 45) {
              down = true;
              c = bytes[++pos] as number;
            } else if (c === 43) c = bytes[++pos] as number;
            let exponent = 0;
            from = pos;
            while (c >= 48 && c <= 57) {
              exponent = exponent * 10 + (c - 48);
              c = bytes[++pos] as number;
            }
            fine = pos > from && pos - from < 4;
            power += down ? -exponent : exponent;
          }
          while (c === SPACE) c = bytes[++pos] as number;
          if (c === CR && bytes[pos + 1] === LF) c = bytes[++pos] as number;
          let value: number;
          if (fine && (c === delimiter || c === LF) && power >= -22 && power <= 22 && plainNumber[slot]) {
            value =
              power === 0
                ? mantissa
                : power < 0
                  ? mantissa / (POWERS[-power] as number)
                  : mantissa * (POWERS[power] as number);
            if (negative) value = -value;
          } else {
            pos = start;
            c = bytes[pos] as number;
            while (c !== delimiter && c !== LF) c = bytes[++pos] as number;
            const end = pos > start && bytes[pos - 1] === CR && c === LF ? pos - 1 : pos;
            if (end === start && plainNumber[slot]) {
              value = Number.NaN;
              counts.missing[slot]! += 1;
            } else value = readOdd(slot, bytes, start, end);
          }
          (out[slot] as Float64Array)[filled] = value;
        }
        column += 1;
        pos += 1;
        if (c === LF) break;
      }
      endRow(column, extra);
    }
  };

  /** One row with quotes, through the general reader. */
  const quotedRow = (bytes: Uint8Array, broken: boolean): void => {
    let end = bytes.length;
    if (end > 0 && bytes[end - 1] === LF) end -= 1;
    if (end > 0 && bytes[end - 1] === CR) end -= 1;
    const text = decoder.decode(bytes.subarray(0, end));
    const row = splitRow(text, plan.delimiter);
    counts.quoted += 1;
    if (counts.quotedLine === 0) counts.quotedLine = line + 1;
    if (broken || row.broken) {
      counts.broken += 1;
      if (counts.brokenLine === 0) counts.brokenLine = line + 1;
    }
    for (let slot = 0; slot < slots; slot++) {
      const cell = row.fields[plan.wanted[slot] as number];
      if (cell !== undefined) (out[slot] as Float64Array)[filled] = readText(slot, cell);
    }
    // Line ends inside quotes are lines of the file too.
    const inside = text.split("\n").length - 1;
    endRow(
      row.fields.length,
      row.fields.slice(width).some((cell) => cell.trim() !== ""),
    );
    line += inside;
  };

  /** Reads what is whole in `bytes` and returns where the rest begins. `last` says that nothing follows. */
  const take = (bytes: Uint8Array, last: boolean): number => {
    let pos = 0;
    while (line < plan.skip) {
      const at = bytes.indexOf(LF, pos);
      if (at < 0) return pos;
      line += 1;
      plan.onSkipped?.(line, bytes.subarray(pos, at > pos && bytes[at - 1] === CR ? at - 1 : at));
      pos = at + 1;
    }
    const whole = bytes.lastIndexOf(LF) + 1;
    let quote = bytes.indexOf(QUOTE, pos);
    while (pos < bytes.length) {
      if (quote < 0) {
        if (whole > pos) scanLines(bytes, pos, whole);
        return Math.max(pos, whole);
      }
      const lineStart = quote === 0 ? 0 : bytes.lastIndexOf(LF, quote - 1) + 1;
      const rowStart = Math.max(pos, lineStart);
      if (rowStart > pos) scanLines(bytes, pos, rowStart);
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
        quotedRow(bytes.subarray(rowStart, lineEnd + 1), true);
        pos = lineEnd + 1;
      } else {
        quotedRow(bytes.subarray(rowStart, close + 1), false);
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
      found: `${length} bytes after line ${line}`,
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

  const end = (): void => {
    if (carry.length > 0) {
      const closed = new Uint8Array(carry.length + 1);
      closed.set(carry);
      closed[carry.length] = LF;
      carry = closed[closed.length - 2] === LF ? closed.subarray(0, closed.length - 1) : closed;
      const rest = carry;
      carry = new Uint8Array(0);
      take(rest, true);
    }
    flush(true);
  };

  return { push, end, counts };
}

/** Seconds of `HH:MM:SS`, `HH:MM:SS.f…` in bytes; -1 where it is written in another way. */
function clockBytes(bytes: Uint8Array, start: number, end: number): number {
  const two = (at: number): number => {
    const tens = (bytes[at] as number) - 48;
    const ones = (bytes[at + 1] as number) - 48;
    return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1;
  };
  if (end - start < 8 || bytes[start + 2] !== 58 || bytes[start + 5] !== 58) return -1;
  const hours = two(start);
  const minutes = two(start + 3);
  const whole = two(start + 6);
  if (!(hours >= 0 && minutes >= 0 && minutes < 60 && whole >= 0 && whole < 61)) return -1;
  let mantissa = whole;
  let digits = 0;
  if (end > start + 8) {
    const mark = bytes[start + 8];
    digits = end - start - 9;
    if ((mark !== 46 && mark !== 44) || digits < 1 || digits > 9) return -1;
    for (let i = start + 9; i < end; i++) {
      const digit = (bytes[i] as number) - 48;
      if (!(digit >= 0 && digit <= 9)) return -1;
      mantissa = mantissa * 10 + digit;
    }
  }
  const seconds = mantissa / (POWERS[digits] as number);
  return seconds < 61 ? hours * 3600 + minutes * 60 + seconds : -1;
}
