import { closeSync, createReadStream, openSync, readFileSync, readSync } from "node:fs";
import {
  addDrive,
  emptySums,
  forEachBlock,
  inferLogLayout,
  readLogPieces,
  solveRefinement,
} from "bellmouth/drive";
import Papa from "papaparse";
import { inferSchema, initParser } from "udsv";
import type { MadeLog } from "./make-log.js";

/** Blocks of a file in one buffer that is used again and again. */
function* fileBlocks(path: string): Generator<Uint8Array> {
  const file = openSync(path, "r");
  const buffer = Buffer.allocUnsafeSlow(1 << 18);
  try {
    for (let n = readSync(file, buffer); n > 0; n = readSync(file, buffer)) yield buffer.subarray(0, n);
  } finally {
    closeSync(file);
  }
}
const head = (path: string): Uint8Array => {
  for (const block of fileBlocks(path)) return block.subarray(0, 60_000);
  throw new Error("empty file");
};
// The library's own types refuse its own row functions, hence `as never` below.
const textOf = (path: string) => createReadStream(path, { encoding: "utf8", highWaterMark: 1 << 18 });

/** Where libraries put their numbers: blocks of columns that are used again, as ours are. */
function numberColumns() {
  const block = Array.from({ length: 20 }, () => new Float64Array(4096));
  let at = 0;
  let rows = 0;
  const take = (row: readonly string[]): void => {
    for (let i = 0; i < 20; i++) (block[i] as Float64Array)[at] = Number(row[i]);
    at = (at + 1) % 4096;
    rows += 1;
  };
  return { columns: { rows: () => rows }, take };
}

/** Rows per piece: 500 s of this log. */
const PIECE = 50_000;

/** Each returns the rows it saw. Libraries get their cheapest way: rows of text, turned into numbers or thrown away. */
const contestants: { readonly [name: string]: (path: string, made: MadeLog) => Promise<number> | number } = {
  nothing: () => 0,
  bytes(path) {
    let n = 0;
    for (const block of fileBlocks(path)) {
      for (let at = block.indexOf(10); at >= 0; at = block.indexOf(10, at + 1)) n += 1;
    }
    return n - 1;
  },
  async "udsv, text"(path) {
    let parser: ReturnType<typeof initParser> | undefined;
    let n = 0;
    const count = (): void => {
      n += 1;
    };
    for await (const text of textOf(path)) {
      parser ??= initParser(inferSchema(text as string));
      parser.chunk(text as string, parser.stringArrs as never, count);
    }
    parser?.end();
    return n;
  },
  async "udsv, 20 columns of numbers"(path) {
    let parser: ReturnType<typeof initParser> | undefined;
    const { columns, take } = numberColumns();
    for await (const text of textOf(path)) {
      parser ??= initParser(inferSchema(text as string));
      parser.chunk(text as string, parser.stringArrs as never, take as never);
    }
    parser?.end();
    return columns.rows();
  },
  "papaparse, 20 columns of numbers": (path) =>
    new Promise((done, fail) => {
      const { columns, take } = numberColumns();
      let header = true;
      Papa.parse<string[]>(createReadStream(path, { highWaterMark: 1 << 18 }), {
        skipEmptyLines: true,
        chunk: ({ data }) => {
          for (const row of header ? data.slice(1) : data) take(row);
          header = false;
        },
        complete: () => done(columns.rows()),
        error: fail,
      });
    }),
  "bellmouth, 20 columns of numbers"(path) {
    const { layout } = inferLogLayout(head(path));
    return forEachBlock(
      fileBlocks(path),
      layout,
      layout.columns.map((_, i) => i),
      () => {},
    ).rows;
  },
  "bellmouth, channels"(path) {
    const { layout, mapping } = inferLogLayout(head(path));
    if (mapping === null) throw new Error("no mapping");
    let rows = 0;
    for (const drive of readLogPieces(fileBlocks(path), layout, mapping, PIECE)) rows += drive.rows;
    return rows;
  },
  "bellmouth, channels and refinement"(path, { table }) {
    const { layout, mapping } = inferLogLayout(head(path));
    if (mapping === null) throw new Error("no mapping");
    let rows = 0;
    let sums = emptySums(table);
    for (const drive of readLogPieces(fileBlocks(path), layout, mapping, PIECE)) {
      rows += drive.rows;
      sums = addDrive(sums, drive, table, { piece: true });
    }
    const used = sums.drives.filter(({ summary }) => summary.refused === null).length;
    if (used < sums.drives.length) throw new Error(`only ${used} of ${sums.drives.length} pieces were used`);
    solveRefinement(table, sums);
    return rows;
  },
};

export const contestantNames = Object.keys(contestants);

const [, , name, path, madePath] = process.argv;
if (name !== undefined && path !== undefined && madePath !== undefined) {
  const made = JSON.parse(readFileSync(madePath, "utf8")) as MadeLog;
  const run = contestants[name];
  if (run === undefined) throw new Error(`no contestant ${name}`);
  const started = performance.now();
  const rows = await run(path, made);
  const seconds = (performance.now() - started) / 1000;
  const { user, system } = process.cpuUsage();
  const peak = process.resourceUsage().maxRSS / 1024;
  console.log(JSON.stringify({ rows, seconds, cpu: (user + system) / 1e6, peak }));
}
