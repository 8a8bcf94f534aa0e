import { readFileSync } from "node:fs";
import Papa from "papaparse";

/** Text of a file under tests/data. */
export const dataText = (name: string): string =>
  readFileSync(new URL(`../data/${name}`, import.meta.url), "utf8");

/** JSON of a file under tests/data. */
export const dataJson = <T>(name: string): T => JSON.parse(dataText(name)) as T;

/** Rows of a CSV under tests/data as header -> text. */
export function dataCsv(name: string): Record<string, string>[] {
  return Papa.parse<Record<string, string>>(dataText(name).trim(), { header: true, skipEmptyLines: true })
    .data;
}
