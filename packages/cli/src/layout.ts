/** A number for a terminal: three digits, no exponent where it can be helped. */
export const short = (value: number, digits = 3): string =>
  Number.isFinite(value) ? String(Number(value.toPrecision(digits))) : "-";

/** Two ends, or the one number both show as. */
export function between(low: number, high: number, digits = 3): string {
  const [from, to] = [short(low, digits), short(high, digits)];
  return from === to ? from : `${from} to ${to}`;
}

/** Rows as columns, the first aligned left, the others right. */
export function aligned(rows: readonly (readonly string[])[]): string {
  const widths = (rows[0] ?? []).map((_, c) => Math.max(...rows.map((row) => [...(row[c] ?? "")].length)));
  const cell = (text: string, c: number): string => {
    const blank = " ".repeat(Math.max(0, (widths[c] ?? 0) - [...text].length));
    return c === 0 ? text + blank : blank + text;
  };
  return rows.map((row) => `  ${row.map(cell).join("  ").trimEnd()}\n`).join("");
}
