import Papa from "papaparse";
import { type Delimiter, splitBlanks } from "./layout.js";

/** Cells of one row, quotes resolved by the general CSV reader; `broken` where it complained. */
export function splitRow(
  text: string,
  delimiter: Delimiter,
): { readonly fields: readonly string[]; readonly broken: boolean } {
  if (delimiter === " " || delimiter === "  ") return { fields: splitBlanks(text, delimiter), broken: false };
  // With its line end: blanks after a closing quote are forgiven only before one.
  const parsed = Papa.parse<string[]>(`${text}\n`, { delimiter, newline: "\n", header: false });
  return {
    fields: parsed.data[0] ?? [],
    broken: parsed.data.length > 2 || parsed.errors.some((error) => error.type === "Quotes"),
  };
}
