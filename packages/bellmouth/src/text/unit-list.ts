import type * as units from "../units/index.js";

/** Everything a number in a document or table can be, with the branded SI type it becomes. */
export interface DimensionTypes {
  readonly length: units.Length;
  readonly area: units.Area;
  readonly volume: units.Volume;
  readonly time: units.Time;
  readonly speed: units.Speed;
  readonly mass: units.Mass;
  readonly "mass flow": units.MassFlow;
  readonly "volume flow": units.VolumeFlow;
  readonly density: units.Density;
  /** absolute: measured from vacuum */
  readonly pressure: units.Pressure;
  /** between two places, or gauge: measured from the air outside */
  readonly "pressure difference": units.PressureDifference;
  readonly temperature: units.Temperature;
  readonly "temperature difference": units.TemperatureDifference;
  readonly frequency: units.Frequency;
  readonly voltage: units.Voltage;
  readonly resistance: units.Resistance;
  readonly power: units.Power;
  readonly "rotational speed": units.RotationalSpeed;
  /** a plain number or a percentage */
  readonly ratio: number;
  /** whole steps of a converter */
  readonly count: number;
}
export type Dimension = keyof DimensionTypes;

/** The SI unit of each dimension: as shown to people, and as the expression mathjs converts to. */
export const SI_UNITS: {
  readonly [D in Dimension]: { readonly shown: string; readonly expression: string };
} = {
  length: { shown: "m", expression: "m" },
  area: { shown: "m^2", expression: "m^2" },
  volume: { shown: "m^3", expression: "m^3" },
  time: { shown: "s", expression: "s" },
  speed: { shown: "m/s", expression: "m/s" },
  mass: { shown: "kg", expression: "kg" },
  "mass flow": { shown: "kg/s", expression: "kg/s" },
  "volume flow": { shown: "m^3/s", expression: "m^3/s" },
  density: { shown: "kg/m^3", expression: "kg/m^3" },
  pressure: { shown: "Pa absolute", expression: "Pa" },
  "pressure difference": { shown: "Pa", expression: "Pa" },
  temperature: { shown: "K", expression: "K" },
  "temperature difference": { shown: "K", expression: "K" },
  frequency: { shown: "Hz", expression: "Hz" },
  voltage: { shown: "V", expression: "V" },
  resistance: { shown: "ohm", expression: "ohm" },
  power: { shown: "W", expression: "W" },
  // mathjs has no revolution; a turn a second has the dimension of a hertz, and this list keeps the two apart.
  "rotational speed": { shown: "rev/s", expression: "Hz" },
  ratio: { shown: "", expression: "" },
  count: { shown: "counts", expression: "" },
};

/** What a spelling measures before a field says which kind of pressure or temperature it means. */
export type UnitFamily =
  | Exclude<Dimension, "pressure" | "pressure difference" | "temperature" | "temperature difference">
  | "pressures"
  | "temperatures";

export interface UnitEntry {
  readonly family: UnitFamily;
  /** The spelling that messages and written tables use. */
  readonly spelling: string;
  readonly aliases: readonly string[];
  /** What mathjs computes: the unit for values … */
  readonly expression: string;
  /** … and for differences of temperature, where the zero point does not count. */
  readonly step?: string;
  /** Set on spellings that carry the kind of pressure in themselves, such as psia. */
  readonly kind?: "absolute" | "gauge";
}

const unit = (
  family: UnitFamily,
  spelling: string,
  expression: string,
  aliases: readonly string[] = [],
  more: Pick<UnitEntry, "step" | "kind"> = {},
): UnitEntry => ({ family, spelling, aliases, expression, ...more });

/**
 * The closed list of unit spellings. mathjs knows many more, and reads some of them as something else than the
 * trade does (PS as petasiemens, C as coulomb, F as farad): a spelling counts only if it stands here, with the
 * family it belongs to. Micro and ohm signs stand twice each in Unicode, hence the escapes. Names beginning with `trade` are defined in `math-units.ts` from exact definitions.
 */
export const UNIT_LIST: readonly UnitEntry[] = [
  unit("length", "mm", "mm"),
  unit("length", "cm", "cm"),
  unit("length", "m", "m"),
  unit("length", "um", "um", ["\u00b5m", "\u03bcm"]),
  unit("length", "in", "inch", ["inch", "inches"]),
  unit("length", "ft", "foot", ["foot", "feet"]),

  unit("area", "mm^2", "mm^2", ["mm2", "mm²"]),
  unit("area", "cm^2", "cm^2", ["cm2", "cm²"]),
  unit("area", "m^2", "m^2", ["m2", "m²"]),
  unit("area", "in^2", "inch^2", ["in2", "in²", "sq in"]),

  unit("volume", "L", "liter", ["l", "litre", "litres", "liter", "liters"]),
  unit("volume", "cm^3", "cm^3", ["cm3", "cm³", "cc", "mL", "ml"]),
  unit("volume", "m^3", "m^3", ["m3", "m³"]),
  unit("volume", "in^3", "inch^3", ["in3", "in³", "cu in"]),

  unit("time", "s", "s", ["sec"]),
  unit("time", "ms", "ms"),
  unit("time", "us", "us", ["\u00b5s", "\u03bcs"]),
  unit("time", "ns", "ns"),
  unit("time", "min", "minute"),
  unit("time", "h", "hour"),

  unit("speed", "m/s", "m/s"),
  unit("speed", "km/h", "km/hour", ["kph", "kmh"]),
  unit("speed", "mph", "mile/hour"),
  unit("speed", "ft/s", "foot/s"),

  unit("mass", "kg", "kg"),
  unit("mass", "g", "g"),
  unit("mass", "mg", "mg"),
  unit("mass", "lb", "lbm", ["lbm"]),

  unit("mass flow", "g/s", "g/s", ["g/sec"]),
  unit("mass flow", "kg/s", "kg/s"),
  unit("mass flow", "kg/h", "kg/hour", ["kg/hr", "kg/hour"]),
  unit("mass flow", "kg/min", "kg/minute"),
  unit("mass flow", "g/min", "g/minute"),
  unit("mass flow", "mg/s", "mg/s"),
  unit("mass flow", "lb/min", "lbm/minute", ["lbm/min", "lbs/min"]),
  unit("mass flow", "lb/h", "lbm/hour", ["lb/hr", "lbm/h", "lbm/hr", "lbs/h", "lbs/hr"]),

  unit("volume flow", "m^3/s", "m^3/s", ["m3/s", "m³/s"]),
  unit("volume flow", "m^3/h", "m^3/hour", ["m3/h", "m³/h"]),
  unit("volume flow", "L/s", "liter/s", ["l/s"]),
  unit("volume flow", "L/min", "liter/minute", ["l/min"]),
  unit("volume flow", "cc/min", "cm^3/minute", ["cm3/min", "cm^3/min", "cm³/min", "mL/min", "ml/min"]),
  unit("volume flow", "cfm", "foot^3/minute", ["ft^3/min", "ft3/min", "ft³/min"]),

  unit("density", "kg/m^3", "kg/m^3", ["kg/m3", "kg/m³"]),
  unit("density", "g/L", "g/liter", ["g/l"]),
  unit("density", "lb/ft^3", "lbm/foot^3", ["lb/ft3", "lb/ft³"]),

  unit("pressures", "kPa", "kPa"),
  unit("pressures", "Pa", "Pa"),
  unit("pressures", "hPa", "hPa"),
  unit("pressures", "MPa", "MPa"),
  unit("pressures", "mbar", "mbar"),
  unit("pressures", "bar", "bar"),
  unit("pressures", "atm", "atm"),
  unit("pressures", "psi", "tradePsi", ["lbf/in^2"]),
  unit("pressures", "inH2O", "tradeInchWater", ["inH₂O", "inWC"]),
  unit("pressures", "mmH2O", "tradeMmWater", ["mmH₂O"]),
  unit("pressures", "cmH2O", "tradeCmWater", ["cmH₂O"]),
  unit("pressures", "inHg", "tradeInchMercury"),
  unit("pressures", "mmHg", "tradeMmMercury"),
  unit("pressures", "Torr", "tradeTorr", ["torr"]),
  unit("pressures", "psia", "tradePsi", [], { kind: "absolute" }),
  unit("pressures", "psig", "tradePsi", [], { kind: "gauge" }),

  unit("temperatures", "degC", "degC", ["°C", "C", "deg C", "celsius"], { step: "K" }),
  unit("temperatures", "degF", "degF", ["°F", "F", "deg F", "fahrenheit"], { step: "degR" }),
  unit("temperatures", "K", "K", ["kelvin"], { step: "K" }),
  unit("temperatures", "degR", "degR", ["°R"], { step: "degR" }),

  unit("frequency", "Hz", "Hz"),
  unit("frequency", "kHz", "kHz"),
  unit("frequency", "MHz", "MHz"),

  unit("voltage", "V", "V", ["volt", "volts"]),
  unit("voltage", "mV", "mV"),

  unit("resistance", "ohm", "ohm", ["ohms", "\u03a9", "\u2126"]),
  unit("resistance", "kohm", "kohm", ["k\u03a9", "k\u2126"]),
  unit("resistance", "Mohm", "Mohm", ["M\u03a9", "M\u2126"]),

  unit("power", "kW", "kW"),
  unit("power", "W", "W"),
  unit("power", "hp", "tradeHorsepower", ["bhp"]),
  unit("power", "PS", "PS"),

  unit("rotational speed", "rpm", "tradeRpm", ["1/min", "rev/min", "r/min"]),
  unit("rotational speed", "rev/s", "Hz", ["r/s"]),

  unit("ratio", "%", "", ["percent", "pct"]),
  unit("ratio", "1", "", ["ratio"]),

  unit("count", "counts", "", ["count", "steps"]),
];

/** Spellings that are refused with a reason, because what they mean depends on something unsaid. */
export const REFUSED_UNITS: { readonly [lowerCase: string]: string } = {
  scfm: "standard volume flow has no single standard; write the density it was counted at, as in '300 cfm at 1.204 kg/m^3'",
  "nl/min":
    "normal volume flow has no single normal; write the density it was counted at, as in '300 L/min at 1.293 kg/m^3'",
  "nm3/h":
    "normal volume flow has no single normal; write the density it was counted at, as in '300 m^3/h at 1.293 kg/m^3'",
  afr: "an air-fuel ratio is a plain ratio; write the number alone",
  deg: "say which degrees: degC or degF (for a temperature)",
  "°": "say which degrees: degC or degF (for a temperature)",
  gps: "write g/s",
  '"': "write in",
  "″": "write in",
  "''": "write in",
  ci: "write in^3",
  cid: "write in^3",
  "lb/m": "write lb/min",
  lbs: "write lb for a mass, lb/min or lb/h for a flow",
};

const bySpelling: ReadonlyMap<string, UnitEntry> = new Map(
  UNIT_LIST.flatMap((entry) =>
    [entry.spelling, ...entry.aliases].map((spelling) => [spelling, entry] as const),
  ),
);

/** The entry of a spelling, exactly as listed (case counts: mV is not MV). */
export const unitEntry = (spelling: string): UnitEntry | undefined => bySpelling.get(spelling);

/** Every accepted spelling, aliases too. */
export const unitSpellings = (): readonly string[] => [...bySpelling.keys()];

/** Family of the units that a dimension is written in. */
export function familyOf(dimension: Dimension): UnitFamily {
  if (dimension === "pressure" || dimension === "pressure difference") return "pressures";
  if (dimension === "temperature" || dimension === "temperature difference") return "temperatures";
  return dimension;
}

/** The spellings a field of this dimension accepts, one for each unit, as messages list them. */
export function unitsFor(dimension: Dimension): readonly string[] {
  const family = familyOf(dimension);
  const own = UNIT_LIST.filter((entry) => entry.family === family);
  if (dimension === "pressure") {
    return [
      ...own.filter((entry) => entry.kind === undefined).map((entry) => `${entry.spelling} absolute`),
      "psia",
    ];
  }
  if (dimension === "pressure difference")
    return own.filter((e) => e.kind !== "absolute").map((e) => e.spelling);
  if (dimension === "ratio") return ["%", "a plain number"];
  return own.map((entry) => entry.spelling);
}
