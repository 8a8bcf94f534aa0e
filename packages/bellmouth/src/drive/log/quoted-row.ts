const LF = 10;
const CR = 13;
const QUOTE = 34;
const isBlank = (byte: number): boolean => byte === 32 || byte === 9 || byte === CR;

/**
 * Place of the line end that closes the row starting at `from`, or -1 where its quotes are still open at `to`. A quote
 * opens only at the start of a cell; doubled it stands for itself; it closes before a delimiter or a line end, blanks
 * between them aside.
 */
export function closeOfQuotedRow(bytes: Uint8Array, from: number, to: number, delimiter: number): number {
  let pos = from;
  while (pos < to) {
    if (bytes[pos] === QUOTE) {
      pos += 1;
      for (;;) {
        while (pos < to && bytes[pos] !== QUOTE) pos += 1;
        if (pos >= to) return -1;
        pos += 1;
        if (bytes[pos] === QUOTE) {
          pos += 1;
          continue;
        }
        let after = pos;
        while (after < to && isBlank(bytes[after] as number) && bytes[after] !== delimiter) after += 1;
        if (after >= to) return -1;
        if (bytes[after] === delimiter || bytes[after] === LF) {
          pos = after;
          break;
        }
      }
    } else {
      while (pos < to && bytes[pos] !== delimiter && bytes[pos] !== LF) pos += 1;
    }
    if (pos >= to) return -1;
    if (bytes[pos] === LF) return pos;
    pos += 1;
  }
  return -1;
}
