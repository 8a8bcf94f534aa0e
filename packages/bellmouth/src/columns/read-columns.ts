import { BellmouthError } from "../fault/index.js";
import {
  bankQuestion,
  longTrimQuestion,
  measuredOrCommanded,
  numbered,
  splitQuestion,
  timeQuestion,
  unitQuestion,
  whichChannel,
  whichColumn,
} from "./ask.js";
import { type ChannelRule, type ColumnChannel, channelsNamed, ruleOf } from "./channel-rules.js";
import type { ColumnsRead, ColumnUse, PlacedChannel, PlacedColumn } from "./column-read.js";
import type { Concept } from "./concept-words.js";
import { decodeSample, encodingOf, requireColumns, requireText } from "./file-kind.js";
import {
  channelKey,
  channelName,
  type GivenChannel,
  type GivenColumns,
  type GivenRef,
  NOTHING_GIVEN,
} from "./given.js";
import { guessLayout } from "./guess-layout.js";
import { judgeTime, type TimeSource } from "./judge-time.js";
import {
  judgeUnit,
  thousands,
  type UnitContext,
  type UnitDoubt,
  type UnitFound,
  type UnitJudgement,
  fits as unitFits,
} from "./judge-unit.js";
import type { FileLayout } from "./layout.js";
import { type ColumnQuestion, choice } from "./question.js";
import { cellFormOf, inSi, quantile, type SampledColumn, sampleColumns } from "./sample.js";
import { type StatedFacts, statedFacts } from "./stated-facts.js";
import { type ColumnUnit, columnUnit, unitNames } from "./unit-words.js";

export interface ReadColumnsOptions {
  /** The sample is the whole file. */
  readonly whole?: boolean | undefined;
  /** Trims are not looked at: a missing long trim is not asked for. */
  readonly trims?: boolean | undefined;
}

/** One column as one channel. */
interface Candidate {
  readonly column: SampledColumn;
  readonly rule: ChannelRule;
  readonly score: number;
  readonly judged: UnitFound | UnitDoubt;
}

/** What is decided so far, while columns are placed. */
interface Draft {
  readonly layout: FileLayout;
  readonly columns: readonly SampledColumn[];
  readonly facts: StatedFacts;
  readonly given: GivenColumns;
  readonly uses: Map<number, ColumnUse>;
  readonly channels: PlacedChannel[];
  readonly questions: ColumnQuestion[];
}

const use = (
  draft: Draft,
  column: SampledColumn,
  one: Pick<ColumnUse, "use" | "channel" | "reason">,
): void => {
  if (!draft.uses.has(column.index))
    draft.uses.set(column.index, { number: column.index + 1, name: column.name, ...one });
};
const ignore = (draft: Draft, column: SampledColumn, reason: string): void =>
  use(draft, column, { use: "ignored", channel: null, reason });
const ask = (draft: Draft, question: ColumnQuestion): void => {
  draft.questions.push(question);
  for (const { number } of question.columns) {
    const column = draft.columns[number - 1] as SampledColumn;
    use(draft, column, {
      use: "asked",
      channel: question.about === "names" ? null : question.about,
      reason: question.text,
    });
  }
};

/** Column number (from 0) that a reference of the answers means. @throws `E_COLUMN` */
export function columnIndex(
  columns: readonly { readonly name: string }[],
  ref: GivenRef,
  path: string,
): number {
  const refuse = (message: string, found: string, accepted: string): never => {
    throw new BellmouthError({ code: "E_COLUMN", message, found, accepted, at: { path } });
  };
  if (typeof ref === "number") {
    if (Number.isInteger(ref) && ref >= 1 && ref <= columns.length) return ref - 1;
    return refuse("there is no column of this number", String(ref), `1 to ${columns.length}`);
  }
  const wanted = ref.replace(/\s+/gu, " ").trim();
  const same = columns.flatMap(({ name }, i) => (name === wanted ? [i] : []));
  if (same.length === 1) return same[0] as number;
  if (same.length > 1)
    return refuse(
      `several columns are called "${wanted.slice(0, 80)}"`,
      `columns ${same.map((i) => i + 1).join(", ")}`,
      "the column's number, from 1",
    );
  const near = columns.filter(({ name }) => name.toLowerCase() === wanted.toLowerCase());
  return refuse(
    "the file has no such column",
    `"${wanted.slice(0, 80)}"`,
    (near.length > 0 ? near : columns)
      .slice(0, 40)
      .map(({ name }) => `"${name.slice(0, 80)}"`)
      .join(", "),
  );
}

/**
 * Looks at the first lines of a file and says what each of its columns is: used as a channel, asked about, or ignored with the
 * reason. What the file leaves open is answered by `given`; a name or unit that leaves two readings is never guessed.
 *
 * @param sample first 100 or more lines, as text or bytes
 * @throws `E_ENCODING` for bytes that are not text in columns, `E_SYNTAX` where lines can be split in two ways, `E_TOO_LITTLE_DATA` for an
 *   empty sample, `E_COLUMN` for an answer about a column that is not there, `E_UNIT` for an answer with a unit that does not fit
 */
export function readColumns(
  sample: string | Uint8Array,
  given: GivenColumns = NOTHING_GIVEN,
  options: ReadColumnsOptions = {},
): ColumnsRead {
  if (typeof sample !== "string") requireText(sample);
  const encoding = typeof sample === "string" ? "utf-8" : encodingOf(sample);
  const text = typeof sample === "string" ? sample : decodeSample(sample, encoding);
  if (text.includes("\0")) encodingOf(new TextEncoder().encode(text.slice(0, 4096)));
  requireColumns(text);
  const guess = guessLayout(options.whole === true && !/[\n\r]$/u.test(text) ? `${text}\n` : text, encoding);
  if (options.whole === true && guess.rows.length === 0 && guess.layout.headerLine !== null) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the file names its columns and holds no rows",
      found: `${guess.layout.columns.length} column names on line ${guess.layout.headerLine}`,
      accepted: "a line of values for each reading below the names",
    });
  }
  const columns = sampleColumns(guess.layout, guess.rows);
  const draft: Draft = {
    layout: guess.layout,
    columns,
    facts: statedFacts(guess.comments),
    given,
    uses: new Map(),
    channels: [],
    questions: [],
  };
  for (const ref of given.ignore ?? [])
    ignore(
      draft,
      columns[columnIndex(columns, ref, "columns.ignore")] as SampledColumn,
      "as the document says",
    );
  const split = placeSplit(draft, options.whole === true);
  const time = placeTime(draft);
  placeGiven(draft);
  if (guess.layout.headerLine === null && draft.channels.length === 0) askNames(draft);
  if (given.others !== "ignore") placeNamed(draft);
  if (given.others !== "ignore") askVague(draft);
  settleBarometer(draft);
  if (options.trims !== false) settleLongTrim(draft);
  for (const column of columns)
    ignore(draft, column, given.others === "ignore" ? "not placed in 'columns'" : reasonOf(column));
  const forms = new Map(
    draft.channels.flatMap(({ columns: of }) => of).map(({ column, cells }) => [column, cells]),
  );
  return {
    layout: {
      ...guess.layout,
      lastCell: lastCellOf(guess.layout, guess.rows),
      columns: guess.layout.columns.map((column, i) => {
        const cells = forms.get(i);
        return cells === undefined ? column : { ...column, cells };
      }),
    },
    time,
    split,
    channels: draft.channels,
    columns: columns.map(({ index }) => draft.uses.get(index) as ColumnUse),
    questions: draft.questions,
    said: draft.facts.said,
    evidence: [...(typeof sample === "string" ? [] : [`the bytes are ${encoding}`]), ...guess.evidence],
  };
}

/** Least digits and length of the last column's cells, but for the last row's. */
function lastCellOf(
  { columns, decimal }: FileLayout,
  rows: readonly (readonly string[])[],
): FileLayout["lastCell"] {
  const cells = rows
    .slice(0, -1)
    .map((row) => (row[columns.length - 1] ?? "").trim())
    .filter((cell) => /\d/u.test(cell));
  if (cells.length < 8) return undefined;
  return {
    decimals: cells.reduce((least, cell) => Math.min(least, cell.split(decimal)[1]?.length ?? 0), 99),
    length: cells.reduce((least, cell) => Math.min(least, cell.length), 99),
  };
}

function placeSplit(draft: Draft, whole: boolean): number | null {
  const { columns, given } = draft;
  if (given.split !== undefined) {
    const column = columns[columnIndex(columns, given.split, "columns.split")] as SampledColumn;
    use(draft, column, { use: "used", channel: "split", reason: "a change in it begins another drive" });
    return column.index;
  }
  if (given.others === "ignore") return null;
  for (const column of columns) {
    if (
      !column.concepts.has("split") ||
      column.concepts.has("time") ||
      channelsNamed(column.concepts).length > 0 ||
      draft.uses.has(column.index)
    )
      continue;
    if (column.unit !== null && /km|mi|^s$|min|^h$/iu.test(column.unit)) continue;
    const kinds = new Set(column.cells).size;
    // A counter that is new with every row splits nothing.
    if (kinds > Math.max(2, 0.2 * column.cells.length)) continue;
    if (kinds < 2 && whole) ignore(draft, column, "one value throughout, so it splits nothing");
    else if (kinds > 0) ask(draft, splitQuestion(columns, column));
  }
  return null;
}

function placeTime(draft: Draft): TimeSource | null {
  const { columns, given, facts } = draft;
  if (given.time !== undefined) {
    const column = columns[columnIndex(columns, given.time.column, "columns.time")] as SampledColumn;
    const stated = given.time.unit ?? column.unit ?? undefined;
    if (stated === "clock") {
      use(draft, column, { use: "used", channel: "time", reason: "times of day, as the document says" });
      return { kind: "clock", column: column.index, how: "as the document says" };
    }
    const unit = stated === undefined ? undefined : columnUnit("time", stated);
    if (unit?.scale !== undefined && unit.scale !== null) {
      use(draft, column, { use: "used", channel: "time", reason: `in ${unit.name}, as the document says` });
      return {
        kind: "column",
        column: column.index,
        factor: unit.scale.factor,
        unit: unit.name,
        how: "as the document says",
      };
    }
    const judged = judgeTime([column], null, new Set(), draft.layout.decimal);
    if (judged.time !== null) {
      use(draft, column, { use: "used", channel: "time", reason: judged.time.how });
      return judged.time;
    }
    throw new BellmouthError({
      code: "E_UNIT",
      message: "the time column needs a unit of time",
      found: stated === undefined ? "none" : `"${stated}"`,
      accepted: [...unitNames("time"), "clock"].join(", "),
      at: { path: "columns.time" },
    });
  }
  const fixed: TimeSource | null =
    given.untimed === true
      ? { kind: "untimed", how: "rows stand on their own, as the document says" }
      : given.rowsEvery !== undefined
        ? {
            kind: "pace",
            every: given.rowsEvery,
            how: `a row every ${given.rowsEvery} s, as the document says`,
          }
        : null;
  const judged = judgeTime(columns, facts.rowsEvery, new Set([...draft.uses.keys()]), draft.layout.decimal);
  for (const [index, reason] of judged.others) ignore(draft, columns[index] as SampledColumn, reason);
  if (fixed !== null) {
    for (const index of [
      ...(judged.time !== null && "column" in judged.time ? [judged.time.column] : []),
      ...(judged.doubt?.columns ?? []),
    ])
      ignore(draft, columns[index] as SampledColumn, fixed.how);
    return fixed;
  }
  if (judged.time !== null) {
    if ("column" in judged.time)
      use(draft, columns[judged.time.column] as SampledColumn, {
        use: "used",
        channel: "time",
        reason: judged.time.how,
      });
    return judged.time;
  }
  if (judged.doubt !== null)
    ask(draft, timeQuestion(columns, judged.doubt.text, judged.doubt.columns, judged.doubt.units));
  return null;
}

function askNames(draft: Draft): void {
  ask(draft, {
    kind: "names",
    about: "names",
    columns: numbered(draft.columns),
    text: "No line names the columns: which number is which channel?",
    choices: [choice("placed by number, with units", { airflow: { column: 2, unit: "g/s" } }, true)],
  });
}

const contextOf = (draft: Draft): UnitContext => ({
  facts:
    draft.facts.pressure === null && draft.given.pressureReads !== undefined
      ? { ...draft.facts, pressure: draft.given.pressureReads }
      : draft.facts,
  serviceData: draft.given.serviceData === true,
});

/** Channels that the answers place. */
function placeGiven(draft: Draft): void {
  const entries = Object.entries(draft.given.channels) as [ColumnChannel, GivenChannel | undefined][];
  for (const [channel, given] of entries) if (given !== undefined) placeOne(draft, channel, given);
}

function placeOne(draft: Draft, channel: ColumnChannel, given: GivenChannel): void {
  const path = `columns.${channelKey(channel)}`;
  const { columns } = draft;
  const rule = ruleOf(channel);
  if (given.formula !== undefined) {
    const names = Object.keys(given.formula.names);
    const used = names.map(
      (name) => columns[columnIndex(columns, given.formula?.names[name] as GivenRef, path)] as SampledColumn,
    );
    for (const column of used)
      use(draft, column, { use: "used", channel, reason: `in the formula ${given.formula.text}` });
    draft.channels.push({
      channel,
      columns: used.map(({ index }) => ({ column: index, scale: { factor: 1, offset: 0 } })),
      combine: "one",
      formula: { text: given.formula.text, names },
      unit: "SI",
      how: `${given.formula.text} with ${names.map((name, i) => `${name} = "${used[i]?.name}"`).join(", ")}`,
    });
    return;
  }
  const chosen = given.columns.map((ref) => columns[columnIndex(columns, ref, path)] as SampledColumn);
  const judged = chosen.map((column, i) => {
    const unit = given.units?.[i] ?? given.unit;
    return unit === undefined &&
      given.stoichiometric === undefined &&
      (given.reads === undefined || column.unit === null)
      ? judgeUnit(column, rule, contextOf(draft))
      : givenUnit(column, rule, { ...given, unit }, path);
  });
  const doubt = judged.find((one): one is UnitDoubt => one.kind === "doubt");
  if (doubt !== undefined) {
    ask(draft, unitQuestion(columns, chosen, rule, doubt, hasBarometer(draft)));
    return;
  }
  const wrong = judged.find((one) => one.kind === "no");
  if (wrong?.kind === "no") {
    throw new BellmouthError({
      code: "E_UNIT",
      message: `${channelName(channel)} needs the unit of its column`,
      found: wrong.reason,
      accepted: rule.dimensions.flatMap(unitNames).join(", "),
      at: { path },
    });
  }
  push(
    draft,
    rule,
    chosen,
    judged as readonly UnitFound[],
    chosen.length === 1 ? "one" : (given.combine ?? (channel === "airflow" ? "sum" : "mean")),
    given,
  );
}

/** A unit that the answers state, held against the file's values. */
function givenUnit(
  column: SampledColumn,
  rule: ChannelRule,
  given: GivenChannel,
  path: string,
): UnitJudgement {
  const spelling = given.unit ?? (given.reads === undefined ? "AFR" : (column.unit ?? ""));
  let unit: ColumnUnit | undefined = rule.dimensions
    .map((one) => columnUnit(one, spelling))
    .find((one) => one !== undefined);
  if (rule.dimensions[0] === "trim" && unit === undefined && columnUnit("ratio", spelling)?.name === "1") {
    // "1" is a fraction or a factor: the values say which.
    unit = columnUnit(
      "trim",
      quantile(column.numbers, 0.5) > 0.6 && quantile(column.numbers, 0) > 0.4 ? "factor" : "fraction",
    );
  }
  const scale =
    unit?.name === "AFR" && given.stoichiometric !== undefined
      ? { factor: 1 / given.stoichiometric, offset: 0 }
      : unit?.dimension === "counts" && given.perCount !== undefined
        ? { factor: given.perCount.value, offset: 0 }
        : (unit?.scale ?? null);
  if (unit === undefined || scale === null) {
    const needs =
      unit?.name === "AFR"
        ? "'stoichiometric: 14.7' beside it: the ratio that stands for lambda 1"
        : unit?.dimension === "counts"
          ? "'scale: 5 V / 1023' beside it"
          : rule.dimensions.flatMap(unitNames).join(", ");
    throw new BellmouthError({
      code: "E_UNIT",
      message:
        unit === undefined ? "not a unit that a log has this column in" : `${unit.name} needs its scale`,
      found: `'${spelling.slice(0, 40)}'`,
      accepted: needs,
      at: { path },
    });
  }
  const how = `${unit.name}, as the document says`;
  const [low, high] = rule.dimensions[0] === "lambda" ? [0.4, 5] : rule.possible;
  const reference = given.reads ?? unit.reference;
  const si = inSi(column, scale).filter(Number.isFinite);
  const wide = reference === "gauge" || reference === "below-outside" ? [-110_000, 500_000] : [low, high];
  const inside = si.filter((value) => value >= (wide[0] as number) && value <= (wide[1] as number)).length;
  if (si.length > 0 && inside < 0.5 * si.length) {
    const others = rule.dimensions
      .flatMap((one) => unitNames(one).flatMap((name) => columnUnit(one, name) ?? []))
      .filter(
        (other) =>
          other.name !== unit.name && (other.scale === null || unitFits(column.numbers, other.scale, rule)),
      );
    return {
      kind: "doubt",
      about: "unit",
      text: `the document says that "${column.name.slice(0, 60)}" is in ${unit.name}, but in this file its values run from ${Number(quantile(column.numbers, 0).toPrecision(6))} to ${Number(quantile(column.numbers, 1).toPrecision(6))}, which that cannot be: in which unit is it?`,
      choices: others,
    };
  }
  return {
    kind: "found",
    unit,
    scale,
    how,
    reference,
    group: thousands(column, scale, rule)?.group,
  };
}

/** Places a channel on its columns and says so of each. */
function push(
  draft: Draft,
  rule: ChannelRule,
  columns: readonly SampledColumn[],
  judged: readonly UnitFound[],
  combine: PlacedChannel["combine"],
  given?: GivenChannel,
): void {
  const [first] = judged as readonly [UnitFound];
  const placed = columns.map((column, i): PlacedColumn => {
    const { scale, unit, group } = judged[i] as UnitFound;
    const form = cellFormOf(column, unit.dimension, draft.layout.decimal, group ?? column.group1, scale);
    return {
      column: column.index,
      ...(column.bank === null ? {} : { bank: column.bank }),
      scale: form?.units === undefined ? scale : { factor: 1, offset: 0 },
      ...(form === undefined ? {} : { cells: form }),
    };
  });
  const said = combine === "sum" ? "; the sum of both" : combine === "mean" ? "; the mean of both banks" : "";
  const channel =
    ["frequency", "voltage", "counts"].includes(first.unit.dimension) && rule.channel === "airflow"
      ? "signal"
      : rule.channel;
  draft.channels.push({
    channel,
    columns: placed,
    combine,
    reference: given?.reads ?? first.reference,
    ...(given?.barometer === undefined ? {} : { barometer: { pascals: given.barometer } }),
    unit: first.unit.name,
    how: `${first.how}${said}`,
  });
  columns.forEach((column, i) => {
    use(draft, column, { use: "used", channel, reason: `${(judged[i] as UnitFound).how}${said}` });
  });
}

const pascalsOf = (pressure: number | undefined): { readonly pascals: number } | undefined =>
  pressure === undefined ? undefined : { pascals: pressure };

const hasBarometer = (draft: Draft): boolean =>
  draft.given.outsidePressure !== undefined ||
  draft.facts.barometer !== null ||
  draft.channels.some(({ channel }) => channel === "barometer") ||
  draft.columns.some(({ concepts }) => channelsNamed(concepts)[0]?.rule.channel === "barometer");

/** Channels that the columns' own names speak for. */
function placeNamed(draft: Draft): void {
  const candidates = new Map<ColumnChannel, Candidate[]>();
  for (const column of draft.columns) {
    if (draft.uses.has(column.index)) continue;
    const candidate = judgeColumn(draft, column);
    if (candidate === undefined) continue;
    const list = candidates.get(candidate.rule.channel) ?? [];
    candidates.set(candidate.rule.channel, [...list, candidate]);
  }
  for (const [channel, list] of candidates) {
    const taken = draft.channels.find((one) => one.channel === channel);
    if (taken !== undefined) {
      const names = taken.columns.map(({ column }) => `"${draft.columns[column]?.name}"`).join(", ");
      for (const { column } of list)
        ignore(draft, column, `${channelName(channel)} is read from ${names}, as the document says`);
      continue;
    }
    settle(draft, list);
  }
}

/** Channels that are only shown: a doubt about one of them is no question. */
const UNUSED: readonly ColumnChannel[] = ["battery", "closedLoop", "fuelCut"];

/** The channel that a column is, if any; columns that are none are ignored here, with the reason. */
function judgeColumn(draft: Draft, column: SampledColumn): Candidate | undefined {
  const bareSpeed =
    !column.concepts.has("rotation") && !column.concepts.has("engine") && hasEngineSpeed(draft, column);
  const named = channelsNamed(column.concepts).filter(
    ({ rule }) => rule.channel !== "engineSpeed" || !bareSpeed,
  );
  if (named.length === 0) return undefined;
  if (column.cells.length === 0) {
    ignore(draft, column, "it holds no value");
    return undefined;
  }
  if (column.numbers.length < 0.2 * column.cells.length) {
    ignore(
      draft,
      column,
      `its cells are no numbers (${JSON.stringify((column.cells[0] ?? "").slice(0, 20))})`,
    );
    return undefined;
  }
  const judged = named.map(({ rule, score }) => ({
    column,
    rule,
    score,
    judged: judgeUnit(column, rule, contextOf(draft)),
  }));
  const able = judged.filter(
    (one): one is Candidate =>
      one.judged.kind !== "no" && !(one.judged.kind === "doubt" && UNUSED.includes(one.rule.channel)),
  );
  if (able.length === 0) {
    const [best] = judged;
    ignore(
      draft,
      column,
      best?.judged.kind === "no"
        ? best.judged.reason
        : "nothing is computed from it, so its unit is not asked for",
    );
    return undefined;
  }
  const top = able[0]?.score ?? 0;
  const equal = able.filter(({ score }) => score === top);
  const sure = equal.filter(({ judged: one }) => one.kind === "found");
  if (equal.length > 1 && sure.length !== 1) {
    ask(
      draft,
      whichChannel(
        draft.columns,
        column,
        equal.map(({ rule }) => rule.channel),
      ),
    );
    return undefined;
  }
  // A unit that only one channel takes says more than the name's words.
  const stated = able.find((one) => one.judged.kind === "found" && column.unit !== null);
  return stated ?? (equal.length > 1 ? sure[0] : able[0]);
}

/** A column beside this one is named engine speed beyond doubt: "Speed" is then the car's. */
const hasEngineSpeed = (draft: Draft, column: SampledColumn): boolean =>
  draft.channels.some(({ channel }) => channel === "engineSpeed") ||
  draft.columns.some(
    (other) =>
      other !== column &&
      other.cells.length > 0 &&
      (other.concepts.has("rotation") || other.concepts.has("engine")) &&
      channelsNamed(other.concepts)[0]?.rule.channel === "engineSpeed",
  );

/** Decides which of the columns that may be a channel are it. */
function settle(draft: Draft, all: readonly Candidate[]): void {
  const [any] = all as readonly [Candidate];
  const { rule } = any;
  const drop = (list: readonly Candidate[], reason: (one: Candidate) => string): void => {
    for (const one of list) ignore(draft, one.column, reason(one));
  };
  let list = all;
  if (rule.channel === "lambda") {
    const behind = list.filter(({ column }) => (column.sensor ?? 1) > 1);
    if (behind.length < list.length) {
      drop(behind, ({ column }) => `sensor ${column.sensor} stands behind the catalyst`);
      list = list.filter((one) => !behind.includes(one));
    }
  }
  if (rule.channel === "throttle" && list.length > 1) {
    const second = list.filter(({ column }) => /(?:^|[\s_])(?:b|c|2)$/iu.test(column.name.trim()));
    if (second.length < list.length) {
      drop(second, () => "a second sensor of the same throttle");
      list = list.filter((one) => !second.includes(one));
    }
  }
  list = withoutRepeats(draft, list);
  if (rule.channel === "lambda") list = withoutBareAfr(draft, list);
  list = withoutLess(draft, list, rule);
  if (list.length === 0) return;
  const banks = new Set(list.map(({ column }) => column.bank ?? 1));
  const ofBanks = list.length === 2 && banks.size === 2;
  const doubt = list.map(({ judged }) => judged).find((one): one is UnitDoubt => one.kind === "doubt");
  if (ofBanks) list = [...list].sort((a, b) => (a.column.bank ?? 1) - (b.column.bank ?? 1));
  const columns = list.map(({ column }) => column);
  const twoFlows = rule.channel === "airflow" && list.length === 2;
  if (
    list.length > 1 &&
    !twoFlows &&
    !(ofBanks && ["lambda", "lambdaTarget", "shortTrim", "longTrim", "airflow"].includes(rule.channel))
  ) {
    ask(draft, whichColumn(draft.columns, columns, rule.channel));
    return;
  }
  if (doubt !== undefined) {
    ask(draft, unitQuestion(draft.columns, columns, rule, doubt, hasBarometer(draft)));
    return;
  }
  if (twoFlows && draft.facts.airParts === true) {
    push(
      draft,
      rule,
      columns,
      list.map(({ judged }) => judged as UnitFound),
      "sum",
    );
    return;
  }
  if (twoFlows) {
    ask(
      draft,
      bankQuestion(
        draft.columns,
        columns,
        list.flatMap(({ judged }) => (judged.kind === "found" ? [judged.unit.name] : [])),
      ),
    );
    return;
  }
  push(
    draft,
    rule,
    columns,
    list.map(({ judged }) => judged as UnitFound),
    list.length === 1 ? "one" : "mean",
  );
}

/**
 * Asks about a column that is called an air-fuel ratio and nothing more: loggers head so what a sensor measured and what the ECU commands.
 * Beside a column that is named the target, it is the measured one.
 */
function withoutBareAfr(draft: Draft, list: readonly Candidate[]): readonly Candidate[] {
  const bare = list.filter(({ column }) => column.concepts.size === 1 && column.concepts.has("afr"));
  const [one] = bare;
  const hasTarget =
    draft.channels.some(({ channel }) => channel === "lambdaTarget") ||
    draft.columns.some(({ concepts }) => channelsNamed(concepts)[0]?.rule.channel === "lambdaTarget");
  if (one === undefined || bare.length > 1 || hasTarget) return list;
  ask(draft, measuredOrCommanded(draft.columns, one.column, one.judged, list.length > 1));
  return list.filter((other) => other !== one);
}

/** Takes out columns that tell the same as another: in another unit, or repeated. */
function withoutRepeats(draft: Draft, list: readonly Candidate[]): readonly Candidate[] {
  const kept: Candidate[] = [];
  const order = [...list].sort(
    (a, b) => (a.judged.kind === "found" ? 0 : 1) - (b.judged.kind === "found" ? 0 : 1) || b.score - a.score,
  );
  for (const one of order) {
    const same = kept.find(
      (other) => (other.column.bank ?? 1) === (one.column.bank ?? 1) && alike(one, other),
    );
    if (same === undefined) kept.push(one);
    else ignore(draft, one.column, `it tells the same as "${same.column.name}", which is read`);
  }
  return list.filter((one) => kept.includes(one));
}

function alike(a: Candidate, b: Candidate): boolean {
  const n = Math.min(a.column.numbers.length, b.column.numbers.length);
  if (n < 3 || a.column.numbers.length !== b.column.numbers.length) return false;
  const x = a.judged.kind === "found" ? inSi(a.column, a.judged.scale) : a.column.numbers;
  const y = b.judged.kind === "found" ? inSi(b.column, b.judged.scale) : b.column.numbers;
  if (a.judged.kind === "found" && b.judged.kind === "found") {
    const spread = Math.max(Math.abs(quantile(y, 0.5)), 1e-9);
    return x.every(
      (value, i) => Math.abs(value - (y[i] as number)) <= 0.01 * Math.max(Math.abs(value), spread),
    );
  }
  // An air-fuel ratio without its scale is lambda's shadow where the two keep one ratio.
  if (a.rule.channel !== "lambda" && a.rule.channel !== "lambdaTarget") return false;
  const ratios = x.map((value, i) => value / (y[i] as number)).filter(Number.isFinite);
  const middle = quantile(ratios, 0.5);
  return (
    ratios.length >= 3 &&
    (middle > 6 || middle < 1 / 6) &&
    ratios.every((ratio) => Math.abs(ratio / middle - 1) < 0.02)
  );
}

/** Takes out columns that speak less plainly for the channel than another of the same bank. */
function withoutLess(draft: Draft, list: readonly Candidate[], rule: ChannelRule): readonly Candidate[] {
  if (list.length < 2) return list;
  const absolute =
    rule.channel === "manifoldPressure"
      ? list.filter(({ judged }) => judged.kind === "found" && judged.reference === "absolute")
      : [];
  if (absolute.length === 1 && absolute[0] !== undefined) {
    const [best] = absolute;
    for (const { column } of list)
      if (column !== best.column)
        ignore(draft, column, `manifold pressure is read from "${best.column.name}", which is absolute`);
    return absolute;
  }
  const plain =
    rule.dimensions[0] === "lambda"
      ? list.filter(({ column, judged }) => judged.kind === "found" && column.concepts.has("lambda"))
      : [];
  const [lambda] = plain;
  if (
    plain.length === 1 &&
    lambda !== undefined &&
    list.every(
      ({ column }) =>
        column === lambda.column ||
        ((column.bank ?? 1) === (lambda.column.bank ?? 1) &&
          column.concepts.has("afr") &&
          !column.concepts.has("lambda")),
    )
  ) {
    for (const { column } of list)
      if (column !== lambda.column)
        ignore(draft, column, `${channelName(rule.channel)} is read from "${lambda.column.name}"`);
    return plain;
  }
  const top = list.reduce((most, { score }) => Math.max(most, score), 0);
  const best = list.filter(({ score }) => score === top);
  if (
    !["coolant", "load", "vehicleSpeed", "battery", "barometer", "ambientAir", "engineSpeed"].includes(
      rule.channel,
    ) ||
    best.length !== 1
  )
    return list;
  for (const { column } of list)
    if (column !== best[0]?.column)
      ignore(
        draft,
        column,
        `"${best[0]?.column.name}" says more plainly that it is ${channelName(rule.channel)}`,
      );
  return best;
}

/** A pressure against the outside air needs the outside air's. */
function settleBarometer(draft: Draft): void {
  const index = draft.channels.findIndex(
    ({ channel, reference }) =>
      channel === "manifoldPressure" && (reference === "gauge" || reference === "below-outside"),
  );
  const placed = draft.channels[index];
  if (placed === undefined || placed.barometer !== undefined) return;
  const outside = draft.channels.find(({ channel }) => channel === "barometer")?.columns[0];
  const barometer = outside ?? pascalsOf(draft.facts.barometer ?? draft.given.outsidePressure);
  if (barometer !== undefined) {
    draft.channels[index] = { ...placed, barometer };
    return;
  }
  draft.channels.splice(index, 1);
  const columns = placed.columns.map(({ column }) => draft.columns[column] as SampledColumn);
  for (const column of columns) draft.uses.delete(column.index);
  const unit = columnUnit("pressure", placed.unit) as ColumnUnit;
  const question = unitQuestion(
    draft.columns,
    columns,
    ruleOf("manifoldPressure"),
    {
      kind: "doubt",
      about: "reference",
      text: `"${columns[0]?.name}" is measured from the outside air, and the file has no barometer: what was the outside pressure?`,
      choices: [unit],
    },
    false,
  );
  const word = placed.reference === "gauge" ? "above" : "below";
  ask(draft, {
    ...question,
    choices: question.choices.filter(({ text }) => text.includes(word) || text === "not used"),
  });
}

/** A short trim without a long one says only half of the correction. */
function settleLongTrim(draft: Draft): void {
  const short = draft.channels.find(({ channel }) => channel === "shortTrim");
  if (short === undefined || draft.given.longTrim !== undefined) return;
  const has =
    draft.channels.some(({ channel }) => channel === "longTrim") ||
    draft.questions.some(({ about }) => about === "longTrim");
  if (!has)
    draft.questions.push(
      longTrimQuestion(short.columns.map(({ column }) => draft.columns[column] as SampledColumn)),
    );
}

/** Names that leave open of what: "Temperature", "Pressure", "Fuel trim". */
const VAGUE: readonly (readonly [Concept, readonly ColumnChannel[], readonly Concept[]])[] = [
  ["temperature", ["coolant", "intakeAir"], ["temperature"]],
  ["pressure", ["manifoldPressure", "barometer"], ["pressure", "absolute", "gauge"]],
  ["trim", ["shortTrim", "longTrim"], ["trim", "fuel"]],
];

/** Asks what a column is whose name leaves that open, where a channel that it may be is not read from another column. */
function askVague(draft: Draft): void {
  for (const column of draft.columns) {
    if (draft.uses.has(column.index) || column.numbers.length === 0) continue;
    const vague = VAGUE.find(
      ([concept, , all]) =>
        column.concepts.has(concept) && [...column.concepts].every((one) => all.includes(one)),
    );
    if (vague === undefined) continue;
    const open = vague[1].filter(
      (channel) =>
        !draft.channels.some((one) => one.channel === channel) &&
        judgeUnit(column, ruleOf(channel), contextOf(draft)).kind !== "no",
    );
    if (open.length > 0) ask(draft, whichChannel(draft.columns, column, open));
  }
}

/** Why a column that no channel claims is not used. */
function reasonOf({ concepts, cells }: SampledColumn): string {
  const has = (...all: readonly Parameters<typeof concepts.has>[0][]): boolean =>
    all.some((one) => concepts.has(one));
  if (cells.length === 0) return "it holds no value";
  if (has("oxygen", "narrowband")) return "a narrow-band sensor's signal is not lambda";
  if (has("volume")) return "a volume flow is no mass flow without its density";
  if (has("stroke")) return "air per stroke is not a flow";
  if (has("target")) return "a commanded value of something that is not compared";
  if (has("pedal")) return "the pedal is not the throttle";
  if (has("relative") && has("throttle")) return "the relative opening is not the opening";
  if (has("trim")) return "a trim that is named neither short nor long";
  if (has("oil", "exhaust", "catalyst", "gear", "timing", "other part", "fuel"))
    return "no channel that is used: another part of the car";
  return "its name says no channel";
}
