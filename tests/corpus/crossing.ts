import { digitsFor } from "./build.js";
import { type ChannelName, ruleOf, type SignalKind } from "./channels.js";
import type { ClockForm } from "./clock.js";
import { type Column, type Dialect, type Encoding, PLAIN, type UnitsStyle } from "./dialect.js";
import { textColumn } from "./dialects-clear.js";
import { inventDrive } from "./drive.js";
import { type CorpusFile, makeFile } from "./file.js";
import { LANGUAGES, type Language, namesOf } from "./lexicon.js";
import { MEANINGS, type Meaning, meaning } from "./meaning.js";
import { FORMATS } from "./number-format.js";
import { type Random, random } from "./random.js";

const ROWS = 120;
const CORE: readonly ChannelName[] = ["signal", "engine speed", "airflow", "lambda", "coolant"];
const MORE: readonly ChannelName[] = [
  "lambda target",
  "short trim",
  "long trim",
  "short trim 2",
  "long trim 2",
  "intake air",
  "manifold pressure",
  "barometer",
  "throttle",
  "vehicle speed",
  "airflow 2",
  "extra",
];
const CLOCKS: readonly ClockForm[] = [
  "clock",
  "clock with comma",
  "twelve hours",
  "iso",
  "iso zone",
  "iso utc",
  "dotted date",
  "unix",
  "unix ms",
  "duration",
  "minutes",
];

interface Choice {
  readonly chance: Random;
  readonly kind: SignalKind;
  readonly language: Language;
  readonly units: UnitsStyle;
  readonly encoding: Encoding;
  readonly boosted: boolean;
  /** One unit for all temperatures: nobody's logger mixes them. */
  readonly temperature: Meaning;
}

const printable = (text: string, encoding: Encoding): boolean =>
  encoding !== "cp1252" || Array.from(text).every((c) => c.charCodeAt(0) < 256);

/** A meaning that this drive can be written in: a gauge reads from its own barometer, and only a boosted car shows boost. */
function pickMeaning(channel: ChannelName, choice: Choice): Meaning {
  if (ruleOf(channel, choice.kind).quantity === "temperature") return choice.temperature;
  // To the last digit: the barometer that a gauge's column rests on is printed without rounding.
  if (channel === "barometer" && choice.boosted) return meaning("pressure", "kPa absolute");
  const list = (MEANINGS[ruleOf(channel, choice.kind).quantity] as readonly Meaning[]).filter(
    (m) =>
      m.rare === undefined &&
      (m.family !== "gauge" ||
        (choice.boosted && channel === "manifold pressure" && m.answer.barometer === 98_600)),
  );
  return choice.chance.chance(0.5) ? list[0]! : choice.chance.pick(list);
}

/** The unit as shown. A lone dash is shown where a column has a place for units, never stuck to a name or a number. */
function pickUnit(m: Meaning, choice: Choice): string {
  if (choice.units === "none" || choice.chance.chance(0.12)) return "";
  const stuck = choice.units === "suffix" || choice.units === "glued";
  const fit = m.spellings.filter(
    (s) =>
      printable(s, choice.encoding) &&
      !(stuck && (s === "-" || s === "1" || s.includes(" "))) &&
      // "14,191/s" does not say where its number ends.
      !(choice.units === "glued" && /^\d/.test(s)),
  );
  return fit.length === 0 ? "" : choice.chance.pick(fit);
}

function pickColumn(channel: ChannelName, choice: Choice, taken: Set<string>): Column | undefined {
  const m = pickMeaning(channel, choice);
  const own = namesOf(choice.language, channel, m.family);
  const names = (own.length > 0 ? own : namesOf("en", channel, m.family)).filter(
    (n) => printable(n, choice.encoding) && !taken.has(n),
  );
  if (names.length === 0) return undefined;
  const name = choice.chance.chance(0.7) ? names[0]! : choice.chance.pick(names);
  taken.add(name);
  return { channel, name, meaning: m, unit: pickUnit(m, choice), digits: digitsFor(m) };
}

function shuffle<T>(list: readonly T[], chance: Random): readonly T[] {
  return list
    .map((item) => ({ item, at: chance.next() }))
    .sort((a, b) => a.at - b.at)
    .map(({ item }) => item);
}

function pickColumns(choice: Choice, clocked: boolean): readonly Column[] {
  const { chance } = choice;
  const taken = new Set<string>();
  const channels = [...CORE, ...MORE.filter(() => chance.chance(0.45))];
  const time = pickColumn("time", choice, taken)!;
  const seconds: Column = clocked ? { ...time, meaning: MEANINGS.duration[0], unit: "" } : time;
  const columns = channels.flatMap((c) => pickColumn(c, choice, taken) ?? []);
  return [seconds, ...(chance.chance(0.3) ? shuffle(columns, chance) : columns)];
}

/** Features that only some files can have together. */
function pickLayout(chance: Random, units: UnitsStyle): Partial<Dialect> {
  const separator = chance.pick([",", ",", ";", ";", "\t", "|", "spaces"] as const);
  const aligned = separator === "spaces";
  const format = chance.pick(FORMATS.filter((f) => !(aligned && f.group === " ")));
  const cut = units !== "glued" && chance.chance(0.05);
  const quote = cut || aligned ? "needed" : chance.pick(["needed", "needed", "needed", "all"] as const);
  return {
    separator,
    format,
    cut,
    quote,
    nameStyle: aligned
      ? chance.pick(["capitals", "underscores", "run together"] as const)
      : chance.pick(["as is", "as is", "as is", "capitals", "underscores", "lower", "run together"] as const),
    missing: aligned ? chance.pick(["NaN", "---"]) : chance.pick(["", "", "NaN", "n/a", "---"]),
    trailingSeparator: !cut && !aligned && chance.chance(0.1),
    leadingSpaces: !aligned && quote === "needed" && chance.chance(0.08),
    lineEnd: chance.pick(["\n", "\n", "\r\n", "\r"] as const),
    comment: chance.pick(["#", "//", ";", "%"] as const),
    preamble: chance.chance(0.2) ? ["recorded on a quiet road"] : [],
    pairs: chance.chance(0.06),
    polling: chance.pick(["all", "all", "all", "blank", "held"] as const),
    ...(chance.chance(0.08) ? { repeatHeaderEvery: 40 } : {}),
  };
}

function pickClock(chance: Random, aligned: boolean): Dialect["clock"] {
  if (chance.chance(0.5)) return PLAIN.clock;
  const form = chance.pick(CLOCKS.filter((f) => !(aligned && (f === "twelve hours" || f === "dotted date"))));
  return { form, digits: chance.pick([2, 3]), later: chance.pick([0, 0, 35_590_000]) };
}

/** One crossing of features: number `index` is the same file on every machine. */
export function makeCrossing(index: number): CorpusFile {
  const chance = random(77_000 + index);
  const kind = chance.pick(["frequency", "voltage"] as const);
  const units = chance.pick([
    "brackets",
    "brackets",
    "parentheses",
    "row",
    "row",
    "none",
    "glued",
    "suffix",
    "slash",
  ] as const);
  const encoding = chance.pick([
    "utf-8",
    "utf-8",
    "utf-8",
    "utf-8 with mark",
    "utf-16le with mark",
    "utf-16le",
    "utf-16be with mark",
    "cp1252",
  ] as const);
  const language = chance.pick(LANGUAGES.filter((l) => encoding !== "cp1252" || l !== "pl"));
  const boosted = chance.chance(0.3);
  const layout = pickLayout(chance, units);
  const clock = pickClock(chance, layout.separator === "spaces");
  const temperature = chance.chance(0.6) ? MEANINGS.temperature[0] : chance.pick(MEANINGS.temperature);
  const choice: Choice = { chance, kind, language, units, encoding, boosted, temperature };
  const columns = [...pickColumns(choice, clock.form !== "number")];
  const rows = layout.pairs === true ? 2 * ROWS : ROWS;
  if (chance.chance(0.06)) {
    const drivers = Array.from({ length: rows }, (_, i) => (i < rows / 2 ? "A" : "B"));
    columns.splice(1, 0, textColumn("Driver", drivers, "split"));
  }
  const dialect: Dialect = {
    ...PLAIN,
    ...layout,
    name: `crossing ${index}`,
    kind,
    units,
    encoding,
    language,
    clock,
    columns,
    tells: chance.chance(0.5),
    telling: chance.pick(["words", "sentence"] as const),
    restarts: chance.chance(0.5),
  };
  const drive = inventDrive({
    seed: index,
    rows: ROWS,
    step: chance.pick([0.05, 0.1, 0.5]),
    kind,
    ...(boosted ? { boost: 60e3 } : {}),
  });
  return makeFile(spoil(dialect, chance, rows), drive);
}

/** Now and then one sample that no car makes. */
function spoil(dialect: Dialect, chance: Random, rows: number): Dialect {
  const at = dialect.columns.findIndex((c) => c.channel === "engine speed" && c.meaning.id === "rpm");
  if (at < 0 || dialect.format.group !== "" || !chance.chance(0.1)) return dialect;
  const unit = dialect.units === "glued" ? dialect.columns[at]!.unit : "";
  const row = 5 + Math.floor(chance.next() * (rows - 10));
  return { ...dialect, impossible: [{ row, column: at, written: `65535${unit}` }] };
}
