import type { CellForm, DecimalMark } from "./cell.js";
import { clockValue, isClock, isDate } from "./clock.js";
import { cellFormOf, quantile, type SampledColumn } from "./sample.js";
import { columnUnit } from "./unit-words.js";

/** Where the time of a row comes from. */
export type TimeSource =
  | {
      readonly kind: "column";
      readonly column: number;
      readonly factor: number;
      readonly unit: string;
      readonly how: string;
      /** How its cells are written, where units stand in them. */
      readonly cells?: CellForm | undefined;
    }
  | { readonly kind: "clock"; readonly column: number; readonly how: string }
  | { readonly kind: "pace"; readonly every: number; readonly how: string }
  | { readonly kind: "untimed"; readonly how: string };

export interface TimeJudgement {
  readonly time: TimeSource | null;
  /** Set where only the file's owner can say. */
  readonly doubt: {
    readonly text: string;
    readonly columns: readonly number[];
    readonly units: readonly string[];
  } | null;
  /** Columns that are about time and are not the one taken, with the reason. */
  readonly others: ReadonlyMap<number, string>;
}

/** Paces that loggers of engines write rows at [s]. Common practice, no source. */
const SHORTEST_PACE = 0.002;
const LONGEST_PACE = 30;
const UNITS: readonly (readonly [string, number])[] = [
  ["s", 1],
  ["ms", 1e-3],
  ["us", 1e-6],
  ["min", 60],
  ["h", 3600],
  ["d", 86_400],
];

/** Usual step of a rising column over the rows, repeats counted. */
function paceOf(numbers: readonly number[]): number {
  if (numbers.length < 2) return Number.NaN;
  const steps = numbers
    .slice(1)
    .map((value, i) => value - (numbers[i] as number))
    .filter((step) => step > 0);
  return (quantile(steps, 0.5) * steps.length) / (numbers.length - 1);
}

const rises = (numbers: readonly number[]): boolean => {
  if (numbers.length < 2) return numbers.length === 1;
  const down = numbers.filter((value, i) => i > 0 && value < (numbers[i - 1] as number)).length;
  return down <= 0.02 * numbers.length && numbers.some((value) => value !== numbers[0]);
};

/** The unit of a bare time: Unix times by their size, others by the pace of rows that each unit would mean. */
function bareTime(column: SampledColumn): readonly string[] {
  const middle = quantile(column.numbers, 0.5);
  if (middle > 9e8 && middle < 4e9) return ["s"];
  if (middle > 9e11 && middle < 4e12) return ["ms"];
  if (middle > 9e14 && middle < 4e15) return ["us"];
  const pace = paceOf(column.numbers);
  // A spreadsheet's date: days since 1900.
  if (middle > 30_000 && middle < 60_000 && pace < 0.001) return ["d"];
  if (Number.isNaN(pace)) return ["s", "ms"];
  return (
    UNITS.filter(([, factor]) => pace * factor >= SHORTEST_PACE && pace * factor <= LONGEST_PACE)
      .map(([unit]) => unit)
      // Minutes, hours and days are always named.
      .filter((unit) => !["min", "h", "d"].includes(unit))
  );
}

/** Finds where the time of rows stands, or says what is in doubt. `pace` is what the file's comments state [s]. */
export function judgeTime(
  columns: readonly SampledColumn[],
  pace: number | null,
  placed: ReadonlySet<number>,
  decimal: DecimalMark,
): TimeJudgement {
  const others = new Map<number, string>();
  const free = columns.filter(({ index }) => !placed.has(index));
  for (const { index, cells } of free)
    if (cells.length > 0 && cells.filter(isDate).length >= 0.9 * cells.length)
      others.set(index, "a date; rows are placed by their time");
  const clocks = free.filter(
    ({ cells, index }) =>
      !others.has(index) &&
      cells.length > 0 &&
      cells.filter(isClock).length >= 0.9 * cells.length &&
      cells.filter((cell) => /[:T]/u.test(cell)).length >= 0.9 * cells.length,
  );
  const named = free.filter(({ concepts, unit, numbers, name, index }) => {
    if (others.has(index) || clocks.some((one) => one.index === index)) return false;
    if (!concepts.has("time") && !/^(?:t|ms|sec|s|seconds|ts|epoch|unix)$/iu.test(name.trim())) return false;
    if (
      [
        "speed",
        "pressure",
        "temperature",
        "lambda",
        "trim",
        "timing",
        "air",
        "voltage",
        "closed loop",
        "oil",
      ].some((one) => concepts.has(one as "speed"))
    )
      return false;
    return numbers.length > 0 && (unit === null || unit === "" || columnUnit("time", unit) !== undefined);
  });
  const rising = named.filter(({ numbers }) => rises(numbers));
  for (const { index, numbers } of named)
    if (!rises(numbers) && numbers.length > 1)
      others.set(index, "it does not rise, so it is not the time of rows");
  const main = rising.filter(({ concepts }) => !concepts.has("since"));
  const take = (time: TimeSource, column: number): TimeJudgement => {
    for (const { index } of [...clocks, ...rising])
      if (index !== column) others.set(index, "the time of rows is read from another column");
    return { time, doubt: null, others };
  };
  // A clock that names hours and fractions, or rises with the rows, is as good as a count of seconds; the finer one is taken.
  const pool = [...clocks, ...(main.length > 0 ? main : rising)];
  const exact = pool.filter(({ name }) => /^time$|^zeit$|^timestamp$/iu.test(name.trim()));
  const fine = pool.filter((column) => isFine(column, clocks));
  const [only] = pool.length === 1 ? pool : fine.length === 1 ? fine : exact.length === 1 ? exact : [];
  const column = only ?? finest(pool, clocks);
  if (column === undefined) {
    if (pace !== null)
      return {
        time: { kind: "pace", every: pace, how: `a row every ${pace} s, as the file's comments state` },
        doubt: null,
        others,
      };
    return {
      time: null,
      doubt: { text: "No column holds the time of rows: how far apart are they", columns: [], units: [] },
      others,
    };
  }
  if (clocks.includes(column))
    return take(
      { kind: "clock", column: column.index, how: "times of day or dates with times" },
      column.index,
    );
  const inName =
    /[\s_([]+(s|ms|us|sec|seconds|msec|min)[\])]*$/iu.exec(column.name)?.[1] ??
    (/^(?:ms|seconds|sec|s)$/iu.test(column.name.trim()) ? column.name.trim() : undefined);
  if (column.cellUnits.length > 0) {
    const cells = cellFormOf(column, "time", decimal, column.group1);
    if (cells?.units?.size === column.cellUnits.length)
      return take(
        {
          kind: "column",
          column: column.index,
          factor: 1,
          unit: "s",
          how: `in ${column.cellUnits.join(", ")}, as its cells say`,
          cells,
        },
        column.index,
      );
  }
  const form = column.cellUnits.length > 0 ? undefined : cellFormOf(column, "time", decimal, column.group1);
  const written = form === undefined ? {} : { cells: form };
  const stated =
    column.unit !== null && column.unit !== ""
      ? columnUnit("time", column.unit)
      : inName === undefined
        ? undefined
        : columnUnit("time", inName);
  if (stated?.scale !== undefined && stated.scale !== null) {
    return take(
      {
        kind: "column",
        column: column.index,
        factor: stated.scale.factor,
        unit: stated.name,
        how: `in ${stated.name}`,
        ...written,
      },
      column.index,
    );
  }
  const able = bareTime(column);
  const [unit] = able;
  const factor = UNITS.find(([name]) => name === unit)?.[1];
  if (able.length === 1 && unit !== undefined && factor !== undefined)
    return take(
      { kind: "column", column: column.index, factor, unit, how: `in ${unit} by its values`, ...written },
      column.index,
    );
  return {
    time: null,
    doubt: {
      text: `In which unit is the time "${column.name.slice(0, 60)}"`,
      columns: [column.index],
      units: able.length > 1 ? able : ["s", "ms"],
    },
    others,
  };
}

const stampsOf = (column: SampledColumn, clocks: readonly SampledColumn[]): readonly number[] =>
  clocks.includes(column) ? column.cells.map((cell) => clockValue(cell).value) : column.numbers;
/** New with nearly every row. */
const isFine = (column: SampledColumn, clocks: readonly SampledColumn[]): boolean => {
  const stamps = stampsOf(column, clocks);
  return new Set(stamps).size > 0.9 * stamps.length;
};
/** Of several that tell the same time, the one with the most different stamps. */
function finest(pool: readonly SampledColumn[], clocks: readonly SampledColumn[]): SampledColumn | undefined {
  return [...pool].sort(
    (a, b) =>
      new Set(stampsOf(b, clocks)).size - new Set(stampsOf(a, clocks)).size ||
      (a.unit === null ? 1 : 0) - (b.unit === null ? 1 : 0),
  )[0];
}
