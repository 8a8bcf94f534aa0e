import { type ChannelName, ruleOf, type SignalKind } from "./channels.js";
import type { Column, Dialect } from "./dialect.js";
import { type Language, namesOf } from "./lexicon.js";
import { type Meaning, meaning } from "./meaning.js";
import type { Digits } from "./number-format.js";

/** Digits that keep four figures or so of a channel in its usual unit. */
const DIGITS: Readonly<Record<string, Digits>> = {
  "g/s": 2,
  "kg/h": 1,
  "lb/min": 3,
  "kg/min": 3,
  "kg/s": 5,
  rpm: 0,
  "1/s": 2,
  percent: 2,
  fraction: 3,
  factor: 3,
  "factor in percent": 1,
  share: 3,
  lambda: 3,
  "equivalence ratio": 3,
  kHz: 3,
  V: 3,
  ms: 3,
  "kPa absolute": 1,
  "bar absolute": 3,
  "Pa absolute": 0,
  "psi absolute": 2,
  "inHg absolute": 2,
  kohm: 4,
  psi: 4,
  kPa: 3,
  mbar: 2,
  inH2O: 2,
};

export function digitsFor(m: Meaning): Digits {
  if (m.family === "gauge") return m.id.startsWith("bar") ? 3 : 2;
  if (m.family === "counts") return 0;
  if (m.id === "s") return 2;
  return DIGITS[m.id] ?? 1;
}

/**
 * `"coolant:degC"`, `"lambda target:afr 14.7:AFR"`: a channel, its meaning, and how the unit is shown (the meaning's first
 * spelling when left out; nothing when `-none-`), then which of the channel's names.
 */
export function column(text: string, kind: SignalKind, language: Language, bare: boolean): Column {
  const [channelText = "", id = "number", shown, name] = text.split(":");
  const channel = channelText as ChannelName;
  const m = meaning(ruleOf(channel, kind).quantity, id);
  const names = namesOf(language, channel, m.family);
  const chosen = name ?? names[0] ?? namesOf("en", channel, m.family)[0];
  if (chosen === undefined) throw new Error(`no name for ${text} in ${language}`);
  const unit =
    bare || shown === "-none-" ? "" : shown === undefined || shown === "" ? m.spellings[0]! : shown;
  return { channel, name: chosen, meaning: m, unit, digits: digitsFor(m) };
}

export function columnsFor(
  list: string,
  dialect: Pick<Dialect, "kind" | "language" | "units">,
): readonly Column[] {
  return list
    .trim()
    .split(/\s*;\s*/)
    .map((text) => column(text, dialect.kind, dialect.language, dialect.units === "none"));
}
