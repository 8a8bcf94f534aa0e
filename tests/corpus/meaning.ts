/**
 * What a written number can mean. Each quantity has a list of meanings; a meaning turns the written number into SI and
 * back. Factors: SI brochure and NIST SP 811; mixture scales, ADC scales: common practice, no source.
 */
export interface Meaning {
  readonly id: string;
  /** Meanings of one family share a name ("AFR" never heads a lambda column). */
  readonly family: string;
  /** How a header, a units row or a cell may show it. A column may also show nothing. */
  readonly spellings: readonly string[];
  toSI(written: number): number;
  fromSI(si: number): number;
  /** The line a file may carry to say what the spelling leaves open. */
  readonly tells?: Telling;
  /** Counted only where anything at all is held possible. */
  readonly rare?: true;
  /** What a person would answer when asked. */
  readonly answer: {
    readonly unit?: string;
    readonly scale?: number;
    readonly form?: string;
    readonly barometer?: number;
  };
}

/** The same said in key words and in a sentence. */
export interface Telling {
  readonly words: string;
  readonly sentence: string;
}

interface Options {
  readonly family?: string;
  readonly offset?: number;
  readonly tells?: Telling;
  readonly rare?: true;
  readonly answer?: Meaning["answer"];
}

/** SI = written * factor + offset. */
function linear(id: string, spellings: string, factor: number, options: Options = {}): Meaning {
  const { family = "any", offset = 0, tells, rare, answer = { unit: id } } = options;
  return {
    id,
    family,
    spellings: spellings.split(" | "),
    toSI: (x) => x * factor + offset,
    fromSI: (x) => (x - offset) / factor,
    ...(tells === undefined ? {} : { tells }),
    ...(rare === undefined ? {} : { rare }),
    answer,
  };
}

/** SI = factor / written. */
function inverse(id: string, spellings: string, factor: number, options: Options = {}): Meaning {
  const turn = (x: number): number => factor / x;
  return { ...linear(id, spellings, 1, options), toSI: turn, fromSI: turn };
}

const POUND = 0.45359237;
const PSI = 6894.757293168361;
const INCH_OF_MERCURY = 3386.388640341;

const BAROMETERS = [95_000, 98_600, 101_325] as const;
const pressureUnits: readonly [id: string, spellings: string, factor: number][] = [
  ["kPa", "kPa | KPA | kpa", 1000],
  ["mbar", "mbar | hPa", 100],
  ["bar", "bar", 100_000],
  ["psi", "psi", PSI],
  ["inHg", "inHg | in.Hg", INCH_OF_MERCURY],
  ["Pa", "Pa", 1],
];
const absolute = pressureUnits.map(([id, spellings, factor]) => {
  const marked = id === "psi" ? "psi | psia" : `${spellings} | ${id} abs | ${id}(a)`;
  return linear(`${id} absolute`, marked, factor, { family: "absolute", answer: { unit: `${id} absolute` } });
});
const gauge = pressureUnits.flatMap(([id, spellings, factor]) =>
  BAROMETERS.map((barometer) =>
    linear(
      `${id} gauge at ${barometer}`,
      id === "psi" ? "psi | psig" : `${spellings} | ${id} gauge`,
      factor,
      {
        family: "gauge",
        offset: barometer,
        tells: {
          words: `barometer ${barometer / 1000} kPa`,
          sentence: `pressures are over the ambient pressure of ${barometer / 1000} kPa`,
        },
        answer: { unit: `${id} gauge`, barometer },
      },
    ),
  ),
);

const STOICHIOMETRIC = [14.7, 14.64, 14.5, 14.1, 9.76] as const;
const afr = STOICHIOMETRIC.map((scale) =>
  linear(`afr ${scale}`, "AFR | :1 | A/F | - | afr", 1 / scale, {
    family: "afr",
    tells: { words: `stoich ${scale}`, sentence: `AFR = lambda x ${scale}` },
    answer: { unit: "afr", scale },
  }),
);

const COUNTS: readonly [steps: number, volts: number][] = [
  [1023, 5],
  [4095, 5],
  [4095, 3.3],
];

export const MEANINGS = {
  flow: [
    linear("g/s", "g/s | gm/s | g/sec", 1e-3),
    linear("kg/h", "kg/h | kg/hr", 1 / 3600),
    linear("lb/min", "lb/min | lbs/min", POUND / 60),
    linear("kg/min", "kg/min", 1 / 60),
    linear("kg/s", "kg/s", 1),
  ],
  speed: [
    linear("rpm", "rpm | RPM | 1/min | U/min | tr/min | giri/min | obr/min | v/min | min-1", 1 / 60),
    linear("1/s", "1/s | rev/s", 1),
  ],
  velocity: [
    linear("km/h", "km/h | kph | kmh", 1 / 3.6),
    linear("mph", "mph | mi/h", 0.44704),
    linear("m/s", "m/s", 1),
  ],
  temperature: [
    linear("degC", "degC | °C | C | deg C", 1, { offset: 273.15 }),
    linear("degF", "degF | °F | F", 5 / 9, { offset: 273.15 - 160 / 9 }),
    linear("K", "K", 1),
  ],
  pressure: [...absolute, ...gauge],
  trim: [
    linear("percent", "%", 0.01, { answer: { form: "percent" } }),
    linear("fraction", "% | - | 1", 1, { answer: { form: "fraction" } }),
    linear("factor", "- | 1 | factor", 1, { offset: -1, answer: { form: "factor" } }),
    linear("factor in percent", "%", 0.01, { offset: -1, answer: { form: "factor in percent" } }),
  ],
  share: [
    linear("%", "%", 0.01, { answer: { form: "percent" } }),
    linear("share", "- | 1", 1, { answer: { form: "fraction" } }),
  ],
  mixture: [
    linear("lambda", "- | 1 | lambda | λ", 1, { family: "lambda", answer: { unit: "lambda" } }),
    inverse("equivalence ratio", "- | 1 | phi | φ", 1, {
      family: "phi",
      answer: { unit: "equivalence ratio" },
    }),
    ...afr,
  ],
  frequency: [
    linear("Hz", "Hz | hz", 1, { family: "frequency" }),
    linear("kHz", "kHz", 1000, { family: "frequency" }),
    inverse("us", "us | µs", 1e6, { family: "period" }),
    inverse("ms", "ms", 1e3, { family: "period" }),
  ],
  voltage: [
    linear("V", "V | volts", 1, { family: "voltage" }),
    linear("mV", "mV", 1e-3, { family: "voltage" }),
    ...COUNTS.map(([steps, volts]) =>
      linear(`counts ${steps} at ${volts} V`, "counts | ADC | steps", volts / steps, {
        family: "counts",
        tells: { words: `${steps} counts = ${volts} V`, sentence: `0 to ${volts} V is 0 to ${steps} counts` },
        answer: { unit: "counts", scale: volts / steps },
      }),
    ),
  ],
  duration: [
    linear("s", "s | sec", 1),
    linear("ms", "ms | msec", 1e-3),
    linear("us", "us | µs", 1e-6),
    linear("min", "min", 60, { rare: true }),
  ],
  resistance: [linear("ohm", "ohm | Ω | Ohm", 1), linear("kohm", "kohm | kΩ | kOhm", 1000)],
  drop: [
    linear("Pa", "Pa", 1),
    linear("kPa", "kPa", 1000),
    linear("inH2O", "inH2O", 249.08891),
    linear("mbar", "mbar | hPa", 100),
    linear("psi", "psi", PSI),
  ],
  plain: [linear("number", "- | 1 | % | V | L | deg | mg/Hub | mg/stk | Nm | °", 1)],
} as const satisfies Record<string, readonly Meaning[]>;

export type Quantity = keyof typeof MEANINGS;

export function meaning(quantity: Quantity, id: string): Meaning {
  const found = (MEANINGS[quantity] as readonly Meaning[]).find((m) => m.id === id);
  if (found === undefined) throw new Error(`no meaning ${id} of ${quantity}`);
  return found;
}
