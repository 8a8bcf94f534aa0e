import {
  INCH_MERCURY_PA,
  INCH_WATER_PA,
  MM_MERCURY_PA,
  POUND_KG,
  PSI_PA,
  ZERO_CELSIUS_K,
} from "../units/index.js";
import type { ColumnScale } from "./cell.js";

/** What a column of numbers can measure. */
export type ColumnDimension =
  | "frequency"
  | "voltage"
  | "counts"
  | "mass flow"
  | "rotational speed"
  | "ratio"
  | "lambda"
  | "trim"
  | "temperature"
  | "pressure"
  | "pressure difference"
  | "speed"
  | "resistance"
  | "time"
  | "flag";

/** What a pressure is measured from. */
export type PressureReference = "absolute" | "gauge" | "below-outside";

/** A unit as a column may name it. */
export interface ColumnUnit {
  readonly dimension: ColumnDimension;
  /** The spelling that questions and findings use. */
  readonly name: string;
  /** Null where the number alone does not say: an air-fuel ratio without its stoichiometric ratio, counts without their scale. */
  readonly scale: ColumnScale | null;
  /** Of a pressure, where the unit itself says it. */
  readonly reference?: PressureReference | undefined;
}

const times = (factor: number): ColumnScale => ({ factor, offset: 0 });
const over = (factor: number): ColumnScale => ({ factor, offset: 0, reciprocal: true });
const CELSIUS: ColumnScale = { factor: 1, offset: ZERO_CELSIUS_K };
const FAHRENHEIT: ColumnScale = { factor: 5 / 9, offset: (459.67 * 5) / 9 };

/** Name, scale, other spellings. Spellings are compared without case, spaces and the marks that {@link plain} takes out. */
type Row = readonly [name: string, scale: ColumnScale | null, ...spellings: string[]];

const UNITS: { readonly [dimension in ColumnDimension]: readonly Row[] } = {
  frequency: [
    ["Hz", times(1), "hertz", "1/s"],
    ["kHz", times(1e3), "kilohertz"],
    ["us", over(1e6), "µs", "usec", "microseconds", "µsec", "mikrosekunden"],
    ["ms", over(1e3), "msec"],
  ],
  voltage: [
    ["V", times(1), "volt", "volts", "volty", "voltios"],
    ["mV", times(1e-3), "millivolt", "millivolts"],
  ],
  counts: [
    ["counts", null, "count", "adc", "cnt", "raw", "steps", "digits", "bits", "lsb", "inkremente", "conteos"],
  ],
  "mass flow": [
    [
      "g/s",
      times(1e-3),
      "gm/s",
      "g/sec",
      "gr/s",
      "gr/sec",
      "grams/s",
      "grams/sec",
      "gps",
      "g/sek",
      "g/seg",
      "g s-1",
      "gramm/s",
      "gramme/s",
      "gram/s",
    ],
    ["kg/s", times(1), "kg/sec", "kg/sek", "kg s-1"],
    [
      "kg/h",
      times(1 / 3600),
      "kg/hr",
      "kg/hour",
      "kg/std",
      "kg/heure",
      "kg/uur",
      "kgh",
      "kg/ora",
      "kg/hora",
      "kg h-1",
      "kg/godz",
      "kg/tim",
    ],
    ["kg/min", times(1 / 60)],
    ["g/min", times(1e-3 / 60)],
    ["mg/s", times(1e-6)],
    ["lb/min", times(POUND_KG / 60), "lbs/min", "lbm/min", "lb/m", "lbs/m"],
    ["lb/h", times(POUND_KG / 3600), "lb/hr", "lbs/h", "lbs/hr", "lbm/h", "lbm/hr", "pph"],
  ],
  "rotational speed": [
    [
      "rpm",
      times(1 / 60),
      "1/min",
      "/min",
      "min-1",
      "min^-1",
      "r/min",
      "rev/min",
      "revs/min",
      "rev.min-1",
      "u/min",
      "umdr/min",
      "umin",
      "upm",
      "tr/min",
      "trmin",
      "tours/min",
      "giri/min",
      "giri",
      "rot/min",
      "obr/min",
      "omw/min",
      "toeren/min",
      "tpm",
      "varv/min",
      "v/min",
      "rpms",
    ],
    ["krpm", times(1000 / 60), "rpmx1000", "x1000rpm", "1000rpm", "rpm/1000", "1000/min", "10^3rpm"],
    ["rev/s", times(1), "r/s", "1/s", "rps", "s-1", "u/s", "tr/s"],
    ["rad/s", times(1 / (2 * Math.PI))],
  ],
  ratio: [
    ["1", times(1), "ratio", "-", "fraction", "frac", "0-1", "0..1", "none", "unitless", "dimensionless"],
    [
      "%",
      times(0.01),
      "percent",
      "pct",
      "prozent",
      "proc",
      "pourcent",
      "procent",
      "porcentaje",
      "percentuale",
      "porcento",
      "%open",
    ],
  ],
  lambda: [
    ["lambda", times(1), "λ", "1", "-", "ratio", "lam", "la", "none", "unitless", "dimensionless"],
    ["equivalence ratio", over(1), "phi", "φ", "ϕ", "eqr", "richesse", "riqueza", "ricchezza", "fuel/air"],
    [
      "AFR",
      null,
      "a/f",
      "a:f",
      "air/fuel",
      "air fuel ratio",
      "air-fuel ratio",
      "air:fuel",
      "kg/kg",
      "g/g",
      ":1",
      "x:1",
    ],
    ["%", times(0.01), "percent"],
  ],
  trim: [
    ["%", times(0.01), "percent", "pct", "prozent", "procent", "proc", "pourcent"],
    ["fraction", times(1), "frac"],
    ["factor", { factor: 1, offset: -1 }, "faktor", "multiplier", "mult", "x", "facteur", "fattore", "fator"],
    ["% of 100", { factor: 0.01, offset: -1 }],
  ],
  temperature: [
    [
      "degC",
      CELSIUS,
      "°C",
      "C",
      "deg C",
      "Celsius",
      "degrees C",
      "grad C",
      "gradC",
      "celcius",
      "°",
      "grC",
      "stC",
      "degr C",
      "graden C",
      "grados C",
    ],
    ["degF", FAHRENHEIT, "°F", "F", "deg F", "Fahrenheit", "degrees F"],
    ["K", times(1), "kelvin", "degK", "°K"],
  ],
  pressure: [
    ["kPa", times(1e3), "kpascal"],
    ["Pa", times(1), "pascal"],
    ["hPa", times(100)],
    ["MPa", times(1e6)],
    ["mbar", times(100), "millibar", "mb"],
    ["bar", times(1e5)],
    ["psi", times(PSI_PA), "lbf/in2", "lb/in2", "lbs/in2"],
    ["inHg", times(INCH_MERCURY_PA), "in.hg", "in hg", "inches hg", '"hg'],
    ["mmHg", times(MM_MERCURY_PA), "mm hg", "torr"],
    ["atm", times(101_325)],
  ],
  "pressure difference": [
    ["Pa", times(1), "pascal"],
    ["hPa", times(100)],
    ["kPa", times(1e3)],
    ["mbar", times(100), "millibar"],
    ["bar", times(1e5)],
    ["inH2O", times(INCH_WATER_PA), "in h2o", "inches h2o", "inwc", "in wc", "iwc", '"h2o', "in.h2o"],
    ["mmH2O", times(INCH_WATER_PA / 25.4), "mm h2o", "mmwc"],
    ["psi", times(PSI_PA)],
    ["inHg", times(INCH_MERCURY_PA), "in hg"],
  ],
  speed: [
    ["km/h", times(1 / 3.6), "kph", "kmh", "km/hr", "km/t", "km/std", "km/u"],
    ["mph", times(1609.344 / 3600), "mi/h", "miles/h"],
    ["m/s", times(1), "mps"],
  ],
  resistance: [
    ["ohm", times(1), "ohms", "Ω", "\u2126", "r"],
    ["kohm", times(1e3), "kohms", "kΩ", "k\u2126", "k"],
    ["Mohm", times(1e6), "MΩ"],
  ],
  time: [
    [
      "s",
      times(1),
      "sec",
      "secs",
      "second",
      "seconds",
      "sek",
      "sekunden",
      "seconde",
      "secondes",
      "segundos",
      "secondi",
      "seg",
      "sekund",
      "sekundy",
      "seconden",
    ],
    [
      "ms",
      times(1e-3),
      "msec",
      "millis",
      "milliseconds",
      "millisekunden",
      "millisecondes",
      "milisegundos",
      "millisecondi",
      "msek",
    ],
    ["us", times(1e-6), "µs", "usec", "microseconds", "micros"],
    ["ns", times(1e-9), "nanoseconds"],
    ["min", times(60), "minutes", "minuten", "minuti", "minutos"],
    ["h", times(3600), "hours", "hr", "std"],
    ["d", times(86_400), "days", "tage"],
  ],
  flag: [["1", times(1), "bool", "flag", "on/off", "-", "0/1"]],
};

/** Takes out case, spaces, and the ways in which one unit is set differently. */
export const plain = (text: string): string =>
  text
    .trim()
    .replace(/[\u00b5\u03bc]/gu, "µ")
    .replace(/[·⋅*]/gu, " ")
    .replace(/⁻¹/gu, "-1")
    .replace(/²/gu, "2")
    .replace(/º/gu, "°")
    .replace(/\.$/u, "")
    .toLowerCase()
    .replace(/\s+/gu, "");

const byDimension = new Map(
  (Object.entries(UNITS) as [ColumnDimension, readonly Row[]][]).map(([dimension, rows]) => [
    dimension,
    new Map(
      rows.flatMap(([name, scale, ...spellings]) =>
        [name, ...spellings].map((spelling) => [plain(spelling), { dimension, name, scale }] as const),
      ),
    ),
  ]),
);

const REFERENCE =
  /^(.*?)[\s([]*(absolute|abs|absolut|absolue|absoluta|assoluta|a|gauge|gage|rel|relative|relativ|relatif|g)[)\].]*$/iu;
const referenceOf = (word: string): PressureReference =>
  /^(?:a|abs|ass)/iu.test(word) ? "absolute" : "gauge";

/** The unit of a spelling in a dimension; undefined where it does not fit. Case counts only between mV and MV, Pa and PA: never here. */
export function columnUnit(dimension: ColumnDimension, spelling: string): ColumnUnit | undefined {
  const list = byDimension.get(dimension);
  const known = list?.get(plain(spelling));
  if (known !== undefined || dimension !== "pressure") return known;
  const worded = REFERENCE.exec(spelling.trim());
  const base = worded === null ? undefined : list?.get(plain(worded[1] ?? ""));
  return base === undefined ? undefined : { ...base, reference: referenceOf(worded?.[2] ?? "") };
}

/** Names of a dimension's units, as questions list them. */
export const unitNames = (dimension: ColumnDimension): readonly string[] =>
  UNITS[dimension].map(([name]) => name);

/** Every unit of a dimension, in the order of its list. */
export const unitsOf = (dimension: ColumnDimension): readonly ColumnUnit[] =>
  UNITS[dimension].map(([name, scale]) => ({ dimension, name, scale }));

/** Spellings that no channel needs; they only help to tell a unit from a word in brackets. */
const OTHERS = new Set(
  [
    "deg",
    "l/h",
    "g",
    "mg",
    "a",
    "ma",
    "nm",
    "km",
    "mi",
    "miles",
    "l/100km",
    "mpg",
    "mg/stroke",
    "mg/str",
    "mg/stk",
    "mg/hub",
    "mg/coup",
    "mg/cyl",
    "g/rev",
    "g/stroke",
    "m/s2",
    "m/s^2",
    "g-force",
    "hp",
    "kw",
    "ps",
    "cv",
    "m3/h",
    "m^3/h",
    "cfm",
    "l/min",
    "l/s",
    "cc/min",
    "°btdc",
    "btdc",
    "°ca",
    "°kw",
    "degca",
    "deg.",
    "grad",
    "l",
    "v/v",
    "string",
    "enum",
    "int",
    "float",
    "text",
    "on/off",
    "bool",
    "date",
    "hh:mm:ss",
    "hh:mm:ss.s",
    "hh:mm:ss.ms",
    "hh:mm:ss.sss",
    "hh:mm:ss.mmm",
    "clock",
    "iso",
    "iso8601",
    "utc",
    "lambda",
    "gear",
    "id",
    "",
  ].map(plain),
);
/** True when text in brackets or in a row of units can be a unit. */
export const looksLikeUnit = (text: string): boolean =>
  OTHERS.has(plain(text)) ||
  /^(?:afr|lambda|λ)\s*[x×*@(]?\s*\d/iu.test(text.trim()) ||
  (Object.keys(UNITS) as ColumnDimension[]).some((dimension) => columnUnit(dimension, text) !== undefined);
