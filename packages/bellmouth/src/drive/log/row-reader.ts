import {
  clockValue,
  type Delimiter,
  type FieldValue,
  fieldValue,
  formedValue,
  splitRow,
} from "../../columns/index.js";
import { clockBytes } from "./clock-bytes.js";
import { noCounts, type ScanCounts, type ScanPlan, type SlotKind } from "./scan-plan.js";

export interface RowReader {
  /** Reads whole lines without quotes from `bytes[from..to)`, the last byte of which is a line end. */
  readonly lines: (bytes: Uint8Array, from: number, to: number) => void;
  /** One row with quotes, through the general reader. */
  readonly quoted: (bytes: Uint8Array, broken: boolean) => void;
  /** Counts a line that holds no row and returns its number, from 1. */
  readonly pass: () => number;
  /** Lines taken so far. */
  readonly line: () => number;
  /** Hands over what is left. */
  readonly end: () => void;
  readonly counts: ScanCounts;
}

const LF = 10;
const CR = 13;
const SPACE = 32;
/** Powers of ten that a double holds exactly. */
const POWERS = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));
/** Digits that always fit a double exactly as an integer. */
const EXACT_DIGITS = 15;

/**
 * Reads rows from lines of bytes into columns of numbers.
 *
 * A number of up to 15 digits is its digits as an integer over (or times) a power of ten up to 1e22: both are exact,
 * so one division rounds once, which is what `Number()` gives. Everything else is handed to `fieldValue`, and a row
 * with a quote in it to the general CSV reader.
 */
export function makeRowReader(plan: ScanPlan): RowReader {
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
  const counts = noCounts(slots);
  let line = 0;
  let filled = 0;
  /** Slots of the present row that hold text instead of a value. */
  let odd: number[] = [];
  let oddTexts: string[] = [];

  const flush = (last: boolean): void => {
    const keep = plan.onBlock(filled, out, last);
    if (keep > 0) for (const column of out) column.copyWithin(0, filled - keep, filled);
    filled = keep;
  };

  const note = (slot: number, field: FieldValue, text: string): number => {
    if (field.state === "missing") counts.missing[slot]! += 1;
    else if (field.state === "unreadable") {
      odd.push(slot);
      oddTexts.push(text);
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
    if (kind.kind === "form") return note(slot, formedValue(text, kind.form), text);
    const word = text.trim();
    if (kind.kind === "labels") {
      if (word === "") return Number.NaN;
      const known = kind.labels.get(word) ?? kind.labels.size;
      kind.labels.set(word, known);
      return known;
    }
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

  /** A number with something behind it is a reading that is not understood, not text; `1/min` and `10^3 rpm` are units. */
  const holdsReading = (): boolean =>
    oddTexts.some(
      (text) => /^\s*[+-]?\d/u.test(text) && !/^\s*(?:1\s*\/|10\^|1000\s*\/|0-1|0\.\.1)/u.test(text),
    );
  /** A row in which no wanted cell holds a value and some hold text is no row: a repeated header, units, a comment. */
  const isText = (text: string | undefined): boolean =>
    (out.every((column, slot) => Number.isNaN(column[filled] as number) || isLabel[slot] === true) &&
      !holdsReading()) ||
    // A repeated row of units may hold a "1", which reads as a number.
    plan.heads?.has(text ?? decoder.decode(rowBytes.subarray(rowFrom, rowTo)).trimEnd()) === true;

  const dropText = (text: string | undefined): void => {
    for (const slot of odd) {
      counts.unreadable[slot]! -= 1;
      if (counts.unreadable[slot] === 0) counts.unreadableLine[slot] = 0;
    }
    odd = [];
    oddTexts = [];
    counts.text += 1;
    if (counts.textLine === 0) counts.textLine = line;
    plan.onText?.(line, text ?? decoder.decode(rowBytes.subarray(rowFrom, rowTo)).trimEnd());
  };

  /** Where the row that was read last stands. */
  let rowBytes = new Uint8Array(0) as Uint8Array;
  let rowFrom = 0;
  let rowTo = 0;

  const endRow = (fields: number, extra: boolean, text?: string): void => {
    line += 1;
    if (odd.length > 0) {
      for (let column = fields; column <= lastWanted; column++) {
        const slot = slotOf[column] as number;
        if (slot >= 0) (out[slot] as Float64Array)[filled] = Number.NaN;
      }
      if (isText(text)) {
        dropText(text);
        return;
      }
      odd = [];
      oddTexts = [];
    }
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
  const isLabel = plan.kinds.map((kind) => kind.kind === "labels");

  const scanLines = (bytes: Uint8Array, from: number, to: number): void => {
    let pos = from;
    rowBytes = bytes;
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
      rowFrom = pos;
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
      rowTo = pos;
      endRow(column, extra);
    }
  };

  const quotedRow = (bytes: Uint8Array, broken: boolean): void => {
    let end = bytes.length;
    if (end > 0 && bytes[end - 1] === LF) end -= 1;
    if (end > 0 && bytes[end - 1] === CR) end -= 1;
    const text = decoder.decode(bytes.subarray(0, end));
    const row = splitRow(text, plan.delimiter as Delimiter);
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
      text,
    );
    line += inside;
  };

  return {
    lines: scanLines,
    quoted: quotedRow,
    pass: () => ++line,
    line: () => line,
    end: () => flush(true),
    counts,
  };
}
