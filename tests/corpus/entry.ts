import { columnsFor } from "./build.js";
import { type Column, type Dialect, PLAIN } from "./dialect.js";
import { type DriveOptions, inventDrive } from "./drive.js";
import { type CorpusFile, makeFile } from "./file.js";

/** A named dialect with the drive that it prints. */
export interface DialectEntry {
  readonly name: string;
  /** Columns as `build.ts` reads them. */
  readonly columns: string;
  readonly features?: Partial<Omit<Dialect, "columns" | "name">>;
  /** Columns of text and the like, put in by hand. */
  readonly extend?: (columns: readonly Column[]) => readonly Column[];
  readonly drive?: Partial<DriveOptions>;
}

export const ROWS = 240;

export const FULL =
  "time:s; signal:Hz; airflow:g/s; engine speed:rpm; lambda:lambda; lambda target:lambda; short trim:percent; " +
  "long trim:percent; coolant:degC; intake air:degC; manifold pressure:kPa absolute; throttle:%";

/** The same with a time that carries no unit, for clocks. */
export const CLOCKED = FULL.replace("time:s;", "time:s:-none-;");

export function makeEntry(entry: DialectEntry, index: number): CorpusFile {
  const base = { ...PLAIN, ...entry.features, name: entry.name };
  const listed = columnsFor(entry.columns, base);
  const columns = entry.extend === undefined ? listed : entry.extend(listed);
  const dialect: Dialect = { ...base, columns };
  const drive = inventDrive({
    seed: 1000 + index,
    rows: ROWS,
    step: 0.1,
    kind: dialect.kind,
    ...(dialect.pullOnly ? { shape: "pull" as const } : {}),
    ...entry.drive,
  });
  return makeFile(dialect, drive);
}
