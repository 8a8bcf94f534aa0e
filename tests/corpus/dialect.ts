import type { ChannelName, SignalKind } from "./channels.js";
import type { ClockWriter } from "./clock.js";
import type { Language } from "./lexicon.js";
import type { Meaning } from "./meaning.js";
import type { Digits, NumberFormat } from "./number-format.js";

/** One column as a dialect writes it. */
export interface Column {
  readonly channel: ChannelName;
  /** Name in the lexicon's spelling; `nameStyle` decides how it is printed. */
  readonly name: string;
  readonly meaning: Meaning;
  /** The unit shown; nothing when empty. */
  readonly unit: string;
  readonly digits: Digits;
  /** A column of text: a driver, a date. Its cells stand for themselves and belong to no channel. */
  readonly texts?: readonly string[];
  /** `split`: its value changes from drive to drive. `date`: belongs to the clock. */
  readonly role?: "split" | "date";
}

export type UnitsStyle = "brackets" | "parentheses" | "row" | "none" | "glued" | "suffix" | "slash";
export type Encoding =
  | "utf-8"
  | "utf-8 with mark"
  | "utf-16le with mark"
  | "utf-16le"
  | "utf-16be with mark"
  | "cp1252";

/** A way to print a drive: data, so that a rival way can be made by changing one feature. */
export interface Dialect {
  readonly name: string;
  readonly kind: SignalKind;
  readonly columns: readonly Column[];
  readonly language: Language;
  readonly separator: "," | ";" | "\t" | "|" | "spaces";
  readonly format: NumberFormat;
  readonly units: UnitsStyle;
  readonly nameStyle: "as is" | "capitals" | "underscores" | "lower" | "run together";
  readonly clock: ClockWriter;
  readonly encoding: Encoding;
  readonly lineEnd: "\n" | "\r\n" | "\r";
  /** Mark of a comment line; lines stand bare when empty. */
  readonly comment: "#" | "//" | ";" | "%" | "";
  /** Comment lines that say nothing of the data. */
  readonly preamble: readonly string[];
  /** The file says in a comment what units leave open (stoichiometric ratio, barometer, counts, two air meters). */
  readonly tells: boolean;
  /** Whether that is said in key words or in a sentence. */
  readonly telling: "words" | "sentence";
  /** Values alone, no line of names. */
  readonly headless: boolean;
  /** Every drive of a file counts its time from 0. */
  readonly restarts: boolean;
  /** Both air meters carry a part of the air (true) or each the whole of it (false). */
  readonly airParts: boolean;
  /** Rows come every so many seconds and have no time; told in a comment or not. */
  readonly pace?: { readonly step: number; readonly told: boolean };
  readonly quote: "none" | "needed" | "all";
  readonly missing: string;
  readonly trailingSeparator: boolean;
  readonly leadingSpaces: boolean;
  readonly repeatHeaderEvery?: number;
  /** Every row is printed twice. */
  readonly pairs: boolean;
  readonly polling: "all" | "blank" | "held";
  /** The last line stops in the middle of a number. */
  readonly cut: boolean;
  /** Row, column and written number of samples that no car makes. */
  readonly impossible: readonly { readonly row: number; readonly column: number; readonly written: string }[];
  /** Units that the user has answered beforehand. */
  readonly given?: "service-data units";
  /** The document that names the file says how its pressures read. */
  readonly pressureReads?: "absolute";
  /** A drive without idle: rules about idle say nothing. */
  readonly pullOnly: boolean;
  /** A table, not a log: the channels that a table of its kind can hold. There is no drive to judge by. */
  readonly holds?: readonly ChannelName[];
}

export const PLAIN: Omit<Dialect, "name" | "columns"> = {
  kind: "frequency",
  language: "en",
  separator: ",",
  format: { decimal: ".", group: "" },
  units: "brackets",
  nameStyle: "as is",
  clock: { form: "number", digits: 3 },
  encoding: "utf-8",
  lineEnd: "\n",
  comment: "#",
  preamble: [],
  tells: false,
  telling: "words",
  headless: false,
  restarts: false,
  airParts: true,
  quote: "needed",
  missing: "",
  trailingSeparator: false,
  leadingSpaces: false,
  pairs: false,
  polling: "all",
  cut: false,
  impossible: [],
  pullOnly: false,
};
