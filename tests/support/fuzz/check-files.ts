interface File {
  readonly name: string;
  readonly text: string;
}

/** A row of a CSV file, taken apart without the project's own reader. */
const cellsOf = (line: string): string[] =>
  (line.match(/"(?:[^"]|"")*"|[^,]+|(?<=,)(?=,|$)/gu) ?? []).map((cell) =>
    cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell,
  );

/**
 * Throws when a written CSV file shows a number that is none, or a cell that a spreadsheet would run.
 *
 * @param given a user's text that may stand there as it is
 */
export function checkCsv({ name, text }: File, given: string): void {
  for (const line of text.trimEnd().split("\n")) {
    for (const cell of cellsOf(line)) {
      if (/^(?:nan|-?infinity|undefined|null)$/iu.test(cell) && cell !== given)
        throw new Error(`${name}: ${line}`);
      // A negative number is no formula.
      if (/^\s*[=+\-@|＝＋－＠]|^[\t\r]/u.test(cell) && !/^-\d+(?:\.\d+)?(?:e[+-]?\d+)?$/u.test(cell)) {
        throw new Error(`${name}: a formula: ${cell}`);
      }
    }
  }
}

/** Throws when a table that an engine computer would be given holds anything but rising, finite numbers. */
export function checkLoadable({ name, text }: File): void {
  const rows = text
    .trimEnd()
    .split("\n")
    .slice(1)
    .map((line) => line.split(",").map(Number));
  if (rows.length < 2) throw new Error(`${name}: ${rows.length} rows`);
  rows.forEach(([x = Number.NaN, y = Number.NaN], i) => {
    if (!(Number.isFinite(x) && Number.isFinite(y))) throw new Error(`${name}: row ${i} is ${x}, ${y}`);
    const [before = Number.NEGATIVE_INFINITY, under = Number.NEGATIVE_INFINITY] = rows[i - 1] ?? [];
    if (!(x > before)) throw new Error(`${name}: its axis does not rise at row ${i}`);
    if (!name.startsWith("airflow")) return;
    if (!(y > under && y >= 0)) throw new Error(`${name}: flow does not rise at row ${i}:\n${text}`);
  });
}
