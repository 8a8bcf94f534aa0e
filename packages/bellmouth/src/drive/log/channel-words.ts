import type { LogChannel } from "./channel.js";

/** Words of a column's name that speak for a channel, and words that speak against it. */
export interface ChannelWords {
  /** Each list must be in the name as a whole; the longest one found counts. */
  readonly any: readonly (readonly string[])[];
  readonly not: readonly string[];
  /** Where values of the channel lie in practice, in its SI unit. */
  readonly range: readonly [number, number];
  /** Unit in which service data carry it, for logs that state none. */
  readonly usual: string;
}

const COMMANDED = ["target", "commanded", "command", "desired", "requested", "setpoint"];

/**
 * Terms of the trade and of the service-data standard; ranges are common practice, no source.
 *
 * @source SAE J1979 / ISO 15031-5 for the usual units.
 */
export const CHANNEL_WORDS: { readonly [channel in LogChannel]: ChannelWords } = {
  signal: {
    any: [
      ["maf", "voltage"],
      ["maf", "volts"],
      ["maf", "frequency"],
      ["maf", "freq"],
      ["maf", "hz"],
      ["signal"],
      ["maf"],
      ["airflow", "voltage"],
      ["airflow", "frequency"],
    ],
    not: ["rpm", ...COMMANDED],
    range: [0, 20_000],
    usual: "",
  },
  airflow: {
    any: [["maf"], ["air", "flow"], ["airflow"], ["mass", "air", "flow"], ["air", "mass"], ["airmass"]],
    not: ["voltage", "volts", "frequency", "freq", "hz", "temp", "temperature", ...COMMANDED],
    range: [0, 1.5],
    usual: "g/s",
  },
  engineSpeed: {
    any: [["rpm"], ["engine", "speed"], ["engine", "rpm"], ["revs"]],
    not: ["vehicle", "idle", "turbine", "turbo", ...COMMANDED],
    range: [0, 250],
    usual: "rpm",
  },
  lambda: {
    any: [["lambda"], ["wideband", "lambda"], ["equivalence", "ratio"], ["wideband"]],
    not: ["voltage", "temp", "temperature", "afr", ...COMMANDED],
    range: [0.4, 5],
    usual: "1",
  },
  lambdaTarget: {
    any: COMMANDED.flatMap((word) => [
      [word, "lambda"],
      [word, "equivalence"],
      [word, "equiv"],
    ]),
    not: ["afr"],
    range: [0.4, 2.1],
    usual: "1",
  },
  shortTrim: {
    any: [
      ["stft"],
      ["short", "trim"],
      ["short", "term", "trim"],
      ["short", "fuel", "trim"],
      ["short", "term", "fuel", "trim"],
    ],
    not: ["long"],
    range: [-1, 1],
    usual: "%",
  },
  longTrim: {
    any: [
      ["ltft"],
      ["long", "trim"],
      ["long", "term", "trim"],
      ["long", "fuel", "trim"],
      ["long", "term", "fuel", "trim"],
    ],
    not: ["short"],
    range: [-1, 1],
    usual: "%",
  },
  coolant: {
    any: [
      ["coolant"],
      ["ect"],
      ["coolant", "temp"],
      ["coolant", "temperature"],
      ["engine", "coolant", "temperature"],
    ],
    not: ["pressure", "level"],
    range: [230, 420],
    usual: "degC",
  },
  intakeAir: {
    any: [
      ["iat"],
      ["intake", "temp"],
      ["intake", "temperature"],
      ["intake", "air", "temp"],
      ["intake", "air", "temperature"],
      ["intake", "air"],
      ["charge", "temp"],
      ["charge", "temperature"],
    ],
    not: ["pressure", "ambient", "flow"],
    range: [230, 430],
    usual: "degC",
  },
  ambientAir: {
    any: [
      ["ambient"],
      ["ambient", "temp"],
      ["ambient", "temperature"],
      ["ambient", "air", "temperature"],
      ["outside", "temperature"],
      ["outside", "temp"],
    ],
    not: ["pressure"],
    range: [230, 330],
    usual: "degC",
  },
  manifoldPressure: {
    any: [
      ["map"],
      ["manifold", "pressure"],
      ["intake", "pressure"],
      ["manifold", "absolute", "pressure"],
      ["intake", "manifold", "pressure"],
    ],
    not: ["temp", "temperature", "boost", "gauge", "relative", ...COMMANDED],
    range: [5_000, 500_000],
    usual: "kPa",
  },
  barometer: {
    any: [
      ["baro"],
      ["barometer"],
      ["barometric"],
      ["barometric", "pressure"],
      ["atmospheric", "pressure"],
      ["ambient", "pressure"],
    ],
    not: ["temp", "temperature"],
    range: [50_000, 110_000],
    usual: "kPa",
  },
  throttle: {
    any: [
      ["throttle"],
      ["tps"],
      ["throttle", "pos"],
      ["throttle", "position"],
      ["absolute", "throttle", "position"],
    ],
    not: ["pedal", "relative", "actuator", "b", "c", "temp", ...COMMANDED],
    range: [-0.05, 1.05],
    usual: "%",
  },
  load: {
    any: [["load"], ["engine", "load"], ["calculated", "load"]],
    not: ["absolute"],
    range: [0, 3],
    usual: "%",
  },
  vehicleSpeed: {
    any: [["vehicle", "speed"], ["speed"], ["vss"]],
    not: ["engine", "fan", "turbine", "turbo", "wheel", "rpm", ...COMMANDED],
    range: [0, 120],
    usual: "km/h",
  },
  battery: {
    any: [["battery"], ["battery", "voltage"], ["module", "voltage"], ["supply", "voltage"]],
    not: ["temp", "temperature", "current"],
    range: [0, 20],
    usual: "V",
  },
  closedLoop: {
    any: [
      ["closed", "loop"],
      ["loop", "status"],
    ],
    not: [],
    range: [0, 1],
    usual: "1",
  },
  fuelCut: {
    any: [["fuel", "cut"], ["fuel", "cutoff"], ["overrun"]],
    not: [],
    range: [0, 1],
    usual: "1",
  },
};

/** `SHORT_TERM_FUEL_TRIM_BANK_1`, `shortTerm trim` -> words in lower case. */
export const wordsOf = (name: string): readonly string[] =>
  name
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((word) => word !== "");
