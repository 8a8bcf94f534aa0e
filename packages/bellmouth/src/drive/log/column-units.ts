import { INCH_MERCURY_PA, MM_MERCURY_PA, POUND_KG, PSI_PA, ZERO_CELSIUS_K } from "../../units/index.js";
import type { LogChannel } from "./channel.js";

/** What a column of a channel measures. */
export type ChannelDimension =
  | "signal"
  | "mass flow"
  | "rotational speed"
  | "ratio"
  | "trim"
  | "temperature"
  | "pressure"
  | "speed"
  | "voltage"
  | "flag";

/** SI value = number * factor + offset. */
export interface ColumnScale {
  readonly factor: number;
  readonly offset: number;
}

const times = (factor: number): ColumnScale => ({ factor, offset: 0 });
const FAHRENHEIT: ColumnScale = { factor: 5 / 9, offset: (459.67 * 5) / 9 };

/** Spellings a log may use for each dimension. Closed on purpose: an unknown spelling is a question, not a guess. */
const UNITS: { readonly [dimension in ChannelDimension]: readonly (readonly [string, ColumnScale])[] } = {
  signal: [
    ["Hz", times(1)],
    ["kHz", times(1e3)],
    ["V", times(1)],
    ["mV", times(1e-3)],
  ],
  "mass flow": [
    ["g/s", times(1e-3)],
    ["gm/s", times(1e-3)],
    ["g/sec", times(1e-3)],
    ["kg/s", times(1)],
    ["kg/h", times(1 / 3600)],
    ["kg/hr", times(1 / 3600)],
    ["lb/min", times(POUND_KG / 60)],
    ["lb/h", times(POUND_KG / 3600)],
    ["lb/hr", times(POUND_KG / 3600)],
  ],
  "rotational speed": [
    ["rpm", times(1 / 60)],
    ["1/min", times(1 / 60)],
    ["/min", times(1 / 60)],
    ["min-1", times(1 / 60)],
    ["min^-1", times(1 / 60)],
    ["r/min", times(1 / 60)],
    ["rev/min", times(1 / 60)],
    ["rev/s", times(1)],
  ],
  ratio: [
    ["1", times(1)],
    ["%", times(0.01)],
    ["percent", times(0.01)],
    ["lambda", times(1)],
    ["ratio", times(1)],
  ],
  trim: [
    ["%", times(0.01)],
    ["percent", times(0.01)],
    ["1", times(1)],
  ],
  temperature: [
    ["degC", { factor: 1, offset: ZERO_CELSIUS_K }],
    ["°C", { factor: 1, offset: ZERO_CELSIUS_K }],
    ["deg C", { factor: 1, offset: ZERO_CELSIUS_K }],
    ["C", { factor: 1, offset: ZERO_CELSIUS_K }],
    ["Celsius", { factor: 1, offset: ZERO_CELSIUS_K }],
    ["degF", FAHRENHEIT],
    ["°F", FAHRENHEIT],
    ["deg F", FAHRENHEIT],
    ["F", FAHRENHEIT],
    ["Fahrenheit", FAHRENHEIT],
    ["K", times(1)],
  ],
  pressure: [
    ["kPa", times(1e3)],
    ["Pa", times(1)],
    ["hPa", times(100)],
    ["mbar", times(100)],
    ["bar", times(1e5)],
    ["psia", times(PSI_PA)],
    ["psi", times(PSI_PA)],
    ["inHg", times(INCH_MERCURY_PA)],
    ["mmHg", times(MM_MERCURY_PA)],
  ],
  speed: [
    ["km/h", times(1 / 3.6)],
    ["kph", times(1 / 3.6)],
    ["kmh", times(1 / 3.6)],
    ["mph", times(1609.344 / 3600)],
    ["mi/h", times(1609.344 / 3600)],
    ["m/s", times(1)],
  ],
  voltage: [
    ["V", times(1)],
    ["mV", times(1e-3)],
  ],
  flag: [["1", times(1)]],
};

/** Dimension of each channel. */
export const CHANNEL_DIMENSION: { readonly [channel in LogChannel]: ChannelDimension } = {
  signal: "signal",
  airflow: "mass flow",
  engineSpeed: "rotational speed",
  lambda: "ratio",
  lambdaTarget: "ratio",
  shortTrim: "trim",
  longTrim: "trim",
  coolant: "temperature",
  intakeAir: "temperature",
  ambientAir: "temperature",
  manifoldPressure: "pressure",
  barometer: "pressure",
  throttle: "ratio",
  load: "ratio",
  vehicleSpeed: "speed",
  battery: "voltage",
  closedLoop: "flag",
  fuelCut: "flag",
};

const plain = (unit: string): string => unit.trim().toLowerCase();

/** Scale of a unit's spelling for a dimension, capitals aside; undefined where it does not fit. */
export const columnScale = (dimension: ChannelDimension, unit: string): ColumnScale | undefined =>
  (UNITS[dimension].find(([spelling]) => spelling === unit.trim()) ??
    UNITS[dimension].find(([spelling]) => plain(spelling) === plain(unit)))?.[1];

/** Spellings that fit a dimension. */
export const unitsFor = (dimension: ChannelDimension): readonly string[] =>
  UNITS[dimension].map(([spelling]) => spelling);

/** Units of time columns [s per unit]. */
const TIME_UNITS: readonly (readonly [string, number])[] = [
  ["s", 1],
  ["sec", 1],
  ["seconds", 1],
  ["ms", 1e-3],
  ["msec", 1e-3],
  ["milliseconds", 1e-3],
  ["us", 1e-6],
  ["min", 60],
  ["h", 3600],
];
export const timeScale = (unit: string): number | undefined =>
  TIME_UNITS.find(([spelling]) => spelling === plain(unit))?.[1];
/** Spellings that fit a time column. */
export const timeUnits: readonly string[] = TIME_UNITS.map(([spelling]) => spelling);

/** Spellings of units that logs carry and no channel needs; they only help to tell a unit from a word in brackets. */
const OTHER_UNITS = [
  "deg",
  "°",
  "l/h",
  "g",
  "mg",
  "A",
  "mA",
  "N m",
  "Nm",
  "km",
  "count",
  "counts",
  "bool",
  "-",
  "",
];
/** True when text in brackets or in a unit row can be a unit. */
export const looksLikeUnit = (text: string): boolean =>
  timeScale(text) !== undefined ||
  OTHER_UNITS.some((unit) => plain(unit) === plain(text)) ||
  Object.values(UNITS).some((list) => list.some(([spelling]) => plain(spelling) === plain(text)));
