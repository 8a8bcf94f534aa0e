import type { Column } from "./dialect.js";
import { CLOCKED, type DialectEntry, FULL, ROWS } from "./entry.js";
import { MEANINGS } from "./meaning.js";

const comma = { separator: ";", format: { decimal: ",", group: "" } } as const;
const METRIC =
  "time:s; engine speed:rpm; airflow:kg/h; signal:Hz; lambda:lambda; manifold pressure:mbar absolute; coolant:degC; intake air:degC; throttle:%; vehicle speed:km/h";
const IMPERIAL =
  "time:s; engine speed:rpm; airflow:lb/min; signal:kHz; lambda:lambda; manifold pressure:psi absolute:psia; coolant:degF; intake air:degF; throttle:%; vehicle speed:mph";
const VOLTS =
  "time:s; engine speed:rpm; signal:V; airflow:g/s; lambda:lambda; lambda target:lambda; coolant:degC";
const SERVICE =
  "time:s:; engine speed:rpm; airflow:g/s; vehicle speed:km/h; manifold pressure:kPa absolute; intake air:degC; coolant:degC; short trim:percent; long trim:percent; throttle:%";

/** A column of text, one cell a row. */
export function textColumn(name: string, texts: readonly string[], role?: Column["role"]): Column {
  const unit = "";
  return {
    channel: "extra",
    name,
    meaning: MEANINGS.plain[0]!,
    unit,
    digits: 0,
    texts,
    ...(role ? { role } : {}),
  };
}

const rows = <T>(make: (i: number) => T): T[] => Array.from({ length: ROWS }, (_, i) => make(i));

const headers: DialectEntry[] = [
  { name: "brackets", columns: FULL },
  { name: "parentheses, decimal comma", columns: FULL, features: { ...comma, units: "parentheses" } },
  { name: "units row", columns: FULL, features: { units: "row" } },
  {
    name: "units row, tabs, decimal comma",
    columns: METRIC,
    features: { ...comma, separator: "\t", units: "row" },
  },
  { name: "slash", columns: METRIC, features: { units: "slash", separator: ";" } },
  {
    name: "suffix with underscore",
    columns: FULL.replaceAll(":lambda", ":lambda:lambda"),
    features: { units: "suffix", nameStyle: "underscores" },
  },
  {
    name: "glued units",
    columns: FULL.replaceAll(":lambda", ":lambda:-none-"),
    features: { units: "glued" },
  },
  {
    name: "glued units, decimal comma",
    columns: METRIC.replaceAll(":lambda", ":lambda:-none-"),
    features: { ...comma, units: "glued" },
  },
  { name: "capitals", columns: METRIC, features: { nameStyle: "capitals" } },
  { name: "lower case", columns: IMPERIAL, features: { nameStyle: "lower", units: "parentheses" } },
  { name: "run together", columns: IMPERIAL, features: { nameStyle: "run together" } },
  { name: "imperial, units row", columns: IMPERIAL, features: { units: "row", separator: "\t" } },
  {
    name: "kelvins and revolutions a second",
    columns:
      "time:ms; engine speed:1/s; airflow:kg/s; signal:Hz; lambda:lambda; coolant:K; intake air:K; manifold pressure:bar absolute",
  },
];

const languages: DialectEntry[] = [
  { name: "German", columns: FULL, features: { ...comma, language: "de" } },
  {
    name: "German, cp1252, kg/h",
    columns: METRIC,
    features: { ...comma, language: "de", encoding: "cp1252" },
  },
  { name: "French", columns: FULL, features: { ...comma, language: "fr" } },
  {
    name: "French, richesse",
    columns: FULL.replaceAll(":lambda", ":equivalence ratio"),
    features: { ...comma, language: "fr", encoding: "cp1252" },
  },
  { name: "Spanish", columns: METRIC, features: { ...comma, language: "es", units: "parentheses" } },
  {
    name: "Spanish, riqueza",
    columns: FULL.replace("lambda:lambda;", "lambda:equivalence ratio;"),
    features: { ...comma, language: "es" },
  },
  { name: "Italian", columns: METRIC, features: { ...comma, language: "it" } },
  { name: "Portuguese", columns: FULL, features: { ...comma, language: "pt", units: "row" } },
  { name: "Dutch", columns: METRIC, features: { ...comma, language: "nl" } },
  { name: "Polish", columns: FULL, features: { ...comma, language: "pl", units: "parentheses" } },
  { name: "Swedish", columns: METRIC, features: { ...comma, language: "sv" } },
  {
    name: "German torque beside speed",
    columns: `${METRIC}; extra:number:Nm:Drehmoment; extra:number:mg/Hub:Luftmasse pro Hub; extra:number:°:Zündwinkel`,
    features: { ...comma, language: "de" },
  },
  {
    name: "French torque beside speed",
    columns: `${FULL}; extra:number:Nm:Couple; extra:number:V:Tension batterie`,
    features: { language: "fr", separator: "\t" },
  },
];

const bytes: DialectEntry[] = [
  { name: "utf-8 with mark", columns: FULL, features: { encoding: "utf-8 with mark", lineEnd: "\r\n" } },
  {
    name: "utf-16le with mark",
    columns: FULL,
    features: { encoding: "utf-16le with mark", separator: "\t" },
  },
  {
    name: "utf-16le without mark, French",
    columns: METRIC,
    features: { ...comma, encoding: "utf-16le", language: "fr" },
  },
  { name: "utf-16be with mark", columns: METRIC, features: { encoding: "utf-16be with mark" } },
  { name: "carriage returns alone", columns: FULL, features: { lineEnd: "\r" } },
  {
    name: "spaces to align",
    columns: FULL.replaceAll(":lambda", ":lambda:-none-"),
    features: { separator: "spaces", nameStyle: "underscores", units: "row" },
  },
  { name: "vertical bars", columns: METRIC, features: { separator: "|" } },
  { name: "trailing separators", columns: FULL, features: { trailingSeparator: true, lineEnd: "\r\n" } },
  { name: "leading spaces, all quoted", columns: METRIC, features: { quote: "all", separator: ";" } },
  { name: "leading spaces", columns: METRIC, features: { leadingSpaces: true } },
  {
    name: "decimal commas between commas, quoted",
    columns: FULL,
    features: { format: { decimal: ",", group: "" } },
  },
  { name: "last line cut", columns: FULL, features: { cut: true } },
  {
    name: "exponents",
    columns: METRIC,
    features: {},
    extend: (c) => c.map((x) => ({ ...x, digits: "exponent" as const })),
  },
  {
    name: "shortest numbers",
    columns: FULL,
    extend: (c) => c.map((x) => ({ ...x, digits: "shortest" as const })),
  },
];

const clocks: DialectEntry[] = [
  { name: "clock", columns: CLOCKED, features: { clock: { form: "clock", digits: 3 } } },
  {
    name: "clock past midnight",
    columns: CLOCKED,
    features: { clock: { form: "clock", digits: 3, later: 35_540_000 } },
  },
  {
    name: "clock with decimal comma",
    columns: CLOCKED,
    features: { ...comma, clock: { form: "clock with comma", digits: 2 } },
  },
  {
    name: "twelve hours past noon",
    columns: CLOCKED,
    features: { clock: { form: "twelve hours", digits: 3, later: -7_660_000 } },
  },
  { name: "ISO time", columns: CLOCKED, features: { clock: { form: "iso", digits: 3 } } },
  {
    name: "ISO time in universal time",
    columns: CLOCKED,
    features: { clock: { form: "iso utc", digits: 3 } },
  },
  {
    name: "ISO time, summer time begins",
    columns: CLOCKED,
    features: { clock: { form: "iso zone", digits: 3, zoneChangesAt: 120 } },
  },
  {
    name: "dotted date",
    columns: CLOCKED,
    features: { ...comma, language: "de", clock: { form: "dotted date", digits: 3 } },
  },
  { name: "Unix seconds", columns: CLOCKED, features: { clock: { form: "unix", digits: 3 } } },
  { name: "Unix milliseconds", columns: CLOCKED, features: { clock: { form: "unix ms", digits: 3 } } },
  { name: "duration", columns: CLOCKED, features: { clock: { form: "duration", digits: 3 } } },
  { name: "minutes and seconds", columns: CLOCKED, features: { clock: { form: "minutes", digits: 2 } } },
  {
    name: "date and clock in two columns",
    columns: CLOCKED,
    features: { clock: { form: "clock", digits: 1 } },
    extend: (c) => [
      textColumn(
        "Date",
        rows(() => "2031-05-04"),
        "date",
      ),
      ...c,
    ],
  },
  {
    name: "no time, pace told",
    columns: FULL.replace("time:s;", ""),
    features: { pace: { step: 0.1, told: true } },
  },
  {
    name: "frame numbers beside milliseconds",
    columns: FULL.replace("time:s", "time:ms"),
    extend: (c) => [textColumn("Frame", rows(String)), ...c],
  },
];

const values: DialectEntry[] = [
  { name: "thousands with commas", columns: FULL, features: { format: { decimal: ".", group: "," } } },
  {
    name: "thousands with points",
    columns: METRIC,
    features: { separator: ";", format: { decimal: ",", group: "." } },
  },
  {
    name: "thousands with spaces",
    columns: METRIC,
    features: { separator: ";", format: { decimal: ",", group: " " }, language: "fr" },
  },
  {
    name: "thousands with apostrophes",
    columns: METRIC,
    features: { separator: ";", format: { decimal: ".", group: "'" }, language: "de" },
  },
  { name: "polled in turn, blanks", columns: FULL, features: { polling: "blank" } },
  { name: "polled in turn, NaN", columns: FULL, features: { polling: "blank", missing: "NaN" } },
  { name: "polled in turn, dashes", columns: METRIC, features: { polling: "blank", missing: "---" } },
  { name: "polled in turn, held", columns: FULL, features: { polling: "held" } },
  { name: "rows in identical pairs", columns: FULL, features: { pairs: true } },
  { name: "header repeated", columns: FULL, features: { repeatHeaderEvery: 60 } },
  {
    name: "header and units row repeated",
    columns: METRIC,
    features: { repeatHeaderEvery: 50, units: "row" },
  },
  {
    name: "comments before the header",
    columns: FULL,
    features: { preamble: ["recorded on a quiet road", "24 degC outside, dry"], comment: "//" },
  },
  {
    name: "impossible samples",
    columns: FULL,
    features: {
      impossible: [
        { row: 30, column: 3, written: "65535" },
        { row: 71, column: 10, written: "0.0" },
        { row: 90, column: 9, written: "215.0" },
        { row: 91, column: 9, written: "215.0" },
      ],
    },
  },
  {
    name: "AFR, scale told",
    columns: FULL.replace("lambda:lambda;", "lambda:afr 14.7:AFR:Wideband AFR;").replace(
      "target:lambda",
      "target:afr 14.7",
    ),
    features: { tells: true },
  },
  {
    name: "AFR with ethanol, scale told",
    columns: FULL.replace("lambda:lambda;", "lambda:afr 14.1:-:Wideband AFR;"),
    features: { tells: true, comment: ";", separator: "\t" },
  },
  {
    name: "boost, barometer told",
    columns: FULL.replace("pressure:kPa absolute", "pressure:psi gauge at 98600:psi:Boost"),
    features: { tells: true },
    drive: { boost: 60e3 },
  },
  {
    name: "boost, barometer in a column",
    columns: `${FULL.replace("pressure:kPa absolute", "pressure:bar gauge at 98600:bar:Boost")}; barometer:kPa absolute`,
    drive: { boost: 60e3 },
  },
  {
    name: "counts, scale told",
    columns: VOLTS.replace("signal:V", "signal:counts 4095 at 5 V"),
    features: { kind: "voltage", tells: true },
  },
  { name: "millivolts", columns: VOLTS.replace("signal:V", "signal:mV"), features: { kind: "voltage" } },
  { name: "period", columns: FULL.replace("signal:Hz", "signal:us") },
  { name: "four trims of two banks", columns: `${FULL}; short trim 2:percent; long trim 2:percent` },
  {
    name: "two air meters, sum told",
    columns: FULL.replace("airflow:g/s;", "airflow:g/s; airflow 2:g/s;"),
    features: { tells: true },
  },
  {
    name: "fuel-air equivalence ratio",
    columns: FULL.replace("lambda:lambda;", "lambda:equivalence ratio:-:Fuel-Air Equivalence Ratio;"),
  },
  { name: "trims as factors", columns: FULL.replaceAll(":percent", ":factor:factor") },
  { name: "trims as fractions", columns: FULL.replaceAll(":percent", ":fraction:1") },
  { name: "trims as percent of one", columns: FULL.replaceAll(":percent", ":factor in percent") },
  { name: "lambda without a unit's word", columns: FULL.replaceAll(":lambda", ":lambda:-none-") },
  {
    name: "service-data units given",
    columns: SERVICE,
    features: { units: "none", given: "service-data units", polling: "held" },
  },
  {
    name: "bare but certain",
    columns:
      "time:s:; engine speed:rpm:rpm:Engine RPM; coolant:degC; intake air:degC; manifold pressure:kPa absolute; short trim:percent; long trim:percent; lambda:lambda; signal:Hz::MAF Frequency",
    features: { units: "none" },
  },
  {
    name: "extra columns",
    columns: `${FULL}; extra:number:%:Fuel Level; extra:number:V:Battery Voltage; extra:number:deg:Ignition Timing; extra:number:-none-:Gear`,
  },
  {
    name: "drivers in one file",
    columns: FULL,
    extend: (c) => [
      ...c,
      textColumn(
        "Driver",
        rows((i) => (i < 120 ? "A" : "B")),
        "split",
      ),
    ],
  },
  {
    name: "drivers in one file, each from 0",
    columns: FULL,
    features: { restarts: true },
    extend: (c) => [
      textColumn(
        "Segment",
        rows((i) => (i < 100 ? "1" : "2")),
        "split",
      ),
      ...c,
    ],
  },
  { name: "no time, pace not told", columns: FULL.replace("time:s;", "") },
  {
    name: "title lines without a mark",
    columns: FULL,
    features: { preamble: ["Drive of the invented estate", "second gear, dry road"], comment: "" },
  },
  {
    name: "title lines and units row, semicolons",
    columns: METRIC,
    features: {
      ...comma,
      preamble: ["Fahrt;4", "Datum;2031-05-04"],
      comment: "",
      units: "row",
      language: "de",
    },
  },
  {
    name: "AFR, scale told in a sentence",
    columns: FULL.replace("lambda:lambda;", "lambda:afr 14.64:AFR:Wideband AFR;"),
    features: { tells: true, telling: "sentence" },
  },
  {
    name: "boost, barometer told in a sentence",
    columns: FULL.replace("pressure:kPa absolute", "pressure:kPa gauge at 98600:kPa:Boost"),
    features: { tells: true, telling: "sentence", comment: "//" },
    drive: { boost: 60e3 },
  },
  {
    name: "trips in one file, German",
    columns: METRIC,
    features: { ...comma, language: "de" },
    extend: (c) => [
      textColumn(
        "Fahrt",
        rows((i) => String(1 + Math.floor(i / 80))),
        "split",
      ),
      ...c,
    ],
  },
];

/** Dialects that say everything, written from the project's documents alone. */
export const CLEAR: readonly DialectEntry[] = [...headers, ...languages, ...bytes, ...clocks, ...values];
