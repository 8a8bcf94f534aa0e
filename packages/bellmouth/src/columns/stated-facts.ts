import type { PressureReference } from "./unit-words.js";

/** What a file's own comments state that its columns do not. */
export interface StatedFacts {
  /** Air-fuel ratio that stands for lambda 1. */
  readonly stoichiometric: number | null;
  /** Time between rows [s]. */
  readonly rowsEvery: number | null;
  /** Outside pressure [Pa]. */
  readonly barometer: number | null;
  /** Volts (or hertz) a count. */
  readonly perCount: { readonly value: number; readonly unit: "V" | "Hz" } | null;
  /** Sense of an equivalence ratio. */
  readonly equivalence: "lambda" | "phi" | null;
  /** What trims are written as. */
  readonly trim: "factor" | "fraction" | "%" | null;
  /** What pressures are measured from. */
  readonly pressure: PressureReference | null;
  /** Two columns of airflow are parts that add up. */
  readonly airParts: true | null;
  /** What was used, in the file's own words. */
  readonly said: readonly string[];
}

const NUMBER = "(\\d+(?:[.,]\\d+)?)";
const value = (text: string | undefined): number => Number((text ?? "").replace(",", "."));
const PACE_UNITS: { readonly [unit: string]: number } = {
  s: 1,
  sec: 1,
  sek: 1,
  second: 1,
  seconds: 1,
  ms: 1e-3,
  msec: 1e-3,
  us: 1e-6,
  µs: 1e-6,
};
const PRESSURES: { readonly [unit: string]: number } = {
  kpa: 1e3,
  hpa: 100,
  mbar: 100,
  bar: 1e5,
  pa: 1,
  psi: 6894.757293168,
  psia: 6894.757293168,
  inhg: 3386.389,
  mmhg: 133.322387415,
};

function stoichiometricOf(line: string): number | null {
  const patterns = [
    new RegExp(`stoich[\\p{L}]*[^\\d\\n]{0,40}?${NUMBER}`, "iu"),
    new RegExp(`(?:lambda|λ)\\s*(?:1(?:[.,]0+)?)?\\s*(?:[x×*·]|times|mal|fois|=|@|is|at)\\s*${NUMBER}`, "iu"),
    new RegExp(`${NUMBER}(?:\\s*:\\s*1)?\\s*(?:=|is|at|@|[x×*·])\\s*(?:lambda|λ)`, "iu"),
    new RegExp(
      `(?:afr|air.?fuel|a/f)[^\\d\\n]{0,20}(?:scale|basis|base|gasoline|petrol|benzin|essence|e10|e5|reference)[^\\d\\n]{0,20}?${NUMBER}`,
      "iu",
    ),
  ];
  for (const pattern of patterns) {
    const found = value(pattern.exec(line)?.[1]);
    // Fuels from methanol (6.4) to methane (17.2), the handbook's stoichiometric ratios by mass.
    if (found >= 6 && found <= 18) return found;
  }
  return null;
}

function paceOf(line: string): number | null {
  const rate = new RegExp(
    `(?:rate|frequen[a-z]*|sampl[a-z]*|abtast[a-z]*|logg[a-z]*|rows|frecuencia|fr[eé]quence|echantillon[a-z]*|muestreo)[^\\d\\n]{0,40}?${NUMBER}\\s*(k?hz|per second|/\\s*s\\b|/\\s*sec|rows/s|samples/s|1/s)`,
    "iu",
  ).exec(line);
  if (rate !== null) return 1 / (value(rate[1]) * (/^k/iu.test(rate[2] ?? "") ? 1000 : 1));
  const step = new RegExp(
    `(?:interval[a-z]*|period[a-z]*|every|each|step|pace|spacing|alle|toutes|cada|ogni|elke|co|var|dt|delta|row|sampl[a-z]*|takt|abstand|rate)[^\\d\\n]{0,40}?${NUMBER}\\s*(ms|msec|s|sec|sek|seconds?|us|µs)\\b`,
    "iu",
  ).exec(line);
  if (step !== null) return value(step[1]) * (PACE_UNITS[(step[2] ?? "").toLowerCase()] ?? Number.NaN);
  return null;
}

function barometerOf(line: string): number | null {
  const found = new RegExp(
    `(?:baro[a-z]*|atmospher[a-z]*|ambient pressure|outside pressure|luftdruck|umgebungsdruck|pression atmosph[a-zé]*|pressione atmosf[a-z]*|presi[oó]n atmosf[a-zé]*|luchtdruk|lufttryck|ci[sś]nienie atmosf[a-z]*)[^\\d\\n]{0,30}?${NUMBER}\\s*(kpa|hpa|mbar|bar|pa|psia|psi|inhg|mmhg)`,
    "iu",
  ).exec(line);
  if (found === null) return null;
  const pascals = value(found[1]) * (PRESSURES[(found[2] ?? "").toLowerCase()] ?? Number.NaN);
  return pascals > 45_000 && pascals < 115_000 ? pascals : null;
}

function perCountOf(line: string): StatedFacts["perCount"] {
  const span = new RegExp(
    `${NUMBER}\\s*(V|mV|Hz|kHz)\\b[^\\d\\n]{0,30}?(?:0\\s*(?:\\.\\.|to|-)\\s*)?(\\d{2,6})\\s*(?:counts?|steps|digits|adc|lsb)?`,
    "u",
  ).exec(line);
  const back = new RegExp(
    `(\\d{2,6})\\s*(?:counts?|steps|digits|adc|lsb)?\\s*(?:=|is|are|->|:|for|at|bei|to)\\s*${NUMBER}\\s*(V|mV|Hz|kHz)\\b`,
    "u",
  ).exec(line);
  const bits = new RegExp(
    `(\\d{1,2})[- ]?bit[^\\d\\n]{0,40}?(?:0\\s*(?:\\.\\.|to|-)\\s*)?${NUMBER}\\s*(V|mV)\\b`,
    "iu",
  ).exec(line);
  const one =
    new RegExp(
      `(?:1|one|a)\\s*(?:count|step|digit|lsb)\\s*(?:=|is)\\s*${NUMBER}\\s*(V|mV|Hz|kHz)\\b`,
      "iu",
    ).exec(line) ??
    new RegExp(`${NUMBER}\\s*(V|mV|Hz|kHz)\\s*(?:/|per|a|je)\\s*(?:count|step|digit|lsb)`, "iu").exec(line);
  const scaled = (amount: number, unit: string | undefined): StatedFacts["perCount"] => {
    const factor = unit === "mV" ? 1e-3 : unit === "kHz" ? 1e3 : 1;
    return { value: amount * factor, unit: /hz/iu.test(unit ?? "") ? "Hz" : "V" };
  };
  if (!/count|adc|step|digit|lsb|bit/iu.test(line)) return null;
  if (one !== null) return scaled(value(one[1]), one[2]);
  if (back !== null) return scaled(value(back[2]) / value(back[1]), back[3]);
  if (bits !== null) return scaled(value(bits[2]) / (2 ** value(bits[1]) - 1), bits[3]);
  if (span !== null) return scaled(value(span[1]) / value(span[3]), span[2]);
  return null;
}

/** Reads what comments state: the scale of an air-fuel ratio, the pace of rows, the barometer, the scale of counts, what trims are. */
export function statedFacts(comments: readonly string[]): StatedFacts {
  const said = new Set<string>();
  // Two lines that state different things leave it open: which column each is about cannot be told.
  const first = <T>(read: (line: string) => T | null): T | null => {
    const found = comments.flatMap((line) => {
      const value = read(line);
      return value === null || Number.isNaN(value) ? [] : [{ line, value }];
    });
    const [one] = found;
    if (one === undefined || found.some(({ value }) => JSON.stringify(value) !== JSON.stringify(one.value)))
      return null;
    said.add(one.line.trim().slice(0, 120));
    return one.value;
  };
  return {
    stoichiometric: first(stoichiometricOf),
    rowsEvery: first(paceOf),
    barometer: first(barometerOf),
    perCount: first(perCountOf),
    equivalence: first((line) =>
      !/equiv|\bphi\b|φ|eq\.? ?ratio|\beqr\b/iu.test(line)
        ? null
        : /rich(?:er)?\s*(?:is|=)?\s*(?:above|over|>)\s*1|fuel[ /-]air|1\s*\/\s*lambda|\bphi\b|φ/iu.test(line)
          ? "phi"
          : /lean(?:er)?\s*(?:is|=)?\s*(?:above|over|>)\s*1|air[ /-]fuel|= ?lambda|λ/iu.test(line)
            ? "lambda"
            : null,
    ),
    trim: first((line) =>
      !/trim|correc|korrek/iu.test(line)
        ? null
        : /\bfactors?\b|faktor|multipl/iu.test(line)
          ? "factor"
          : /fraction/iu.test(line)
            ? "fraction"
            : /percent|prozent|%/iu.test(line)
              ? "%"
              : null,
    ),
    pressure: first((line) =>
      !/press|druck|pression|\bmap\b|boost|tryck|ci[sś]nie/iu.test(line)
        ? null
        : /gauge|relative|above (?:the )?(?:outside|atmos|ambient)|[uü]berdruck/iu.test(line)
          ? "gauge"
          : /absolut/iu.test(line)
            ? "absolute"
            : null,
    ),
    airParts: first((line) =>
      /(?:sum|add(?:s|ed)? up|total|together|\+)/iu.test(line) &&
      /(?:bank|meter|air|flow|maf).*(?:bank|meter|maf|both|two|\+)/iu.test(line)
        ? true
        : null,
    ),
    said: [...said],
  };
}
