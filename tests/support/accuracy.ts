import { mkdirSync, writeFileSync } from "node:fs";
import { expect } from "vitest";

/** What a check is held against. */
export type Evidence =
  | "published values" // a standard, handbook or paper; named in `source`
  | "measured data" // open recordings, with their licence in tests/data/README.md
  | "closed form" // the formula's own values, recomputed elsewhere
  | "other implementation" // a general-purpose reference library
  | "common practice, no source"
  | "from memory" // never the only guard
  | "simulation"; // a simulated truth

export interface AccuracyRow {
  /** Stable, unique, kebab-case; the area first: `air-density-cipm`. */
  readonly id: string;
  /** Section of docs/accuracy.md: `Air`, `Curves`, `Transfer law`, `Profile factor`, … */
  readonly area: string;
  readonly what: string;
  readonly evidence: Evidence;
  /** Author, title, year, place in it; or the data set's name. */
  readonly source: string;
  /** Number of values compared; a check that collected none fails. */
  readonly compared: number;
  /** Worst (or rms) deviation found, in `unit`. */
  readonly measured: number;
  /** Largest deviation accepted, in `unit`. */
  readonly limit: number;
  /** `relative`, `K`, `%`, … and what the figure is, for example `relative, worst`. */
  readonly unit: string;
}

const folder = new URL("../../.accuracy/", import.meta.url);

/**
 * Asserts `measured <= limit` over at least one compared value, and leaves the row for docs/accuracy.md
 * (`npm run accuracy` gathers the rows, `accuracy:check` compares them with the committed page).
 */
export function accuracy(row: AccuracyRow): void {
  mkdirSync(folder, { recursive: true });
  writeFileSync(new URL(`${row.id}.json`, folder), `${JSON.stringify(row, null, 2)}\n`);
  expect(row.compared, `${row.id}: values compared`).toBeGreaterThan(0);
  expect(row.measured, `${row.id}: ${row.what}`).toBeLessThanOrEqual(row.limit);
}
