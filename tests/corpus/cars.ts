import { columnsFor } from "./build.js";
import type { ChannelName, SignalKind } from "./channels.js";
import { type Column, type Dialect, PLAIN } from "./dialect.js";
import { textColumn } from "./dialects-clear.js";
import { type DriveValues, inventDrive, meterSignal } from "./drive.js";
import { FULL } from "./entry.js";
import { type CorpusFile, makeFile } from "./file.js";
import type { Language } from "./lexicon.js";
import { FORMATS } from "./number-format.js";
import { random } from "./random.js";

/** Kinds of files that belong to a car, and the channels that a table of the kind can hold. */
export const TABLE_KINDS = {
  "airflow table": ["signal", "airflow"],
  element: ["temperature", "resistance"],
  "temperature table": ["input voltage", "temperature"],
  axis: ["signal"],
  runs: ["engine speed", "manifold pressure", "intake air", "throttle"],
  readings: ["airflow", "engine speed", "pressure drop"],
  pull: undefined,
  log: undefined,
} as const satisfies Record<string, readonly ChannelName[] | undefined>;

export type FileKind = keyof typeof TABLE_KINDS;

export interface CarFile extends CorpusFile {
  readonly kind: FileKind;
}

/** How one invented car's owner writes: units of each thing, and the features of the files. */
interface Owner {
  readonly car: string;
  readonly kind: SignalKind;
  readonly flow: string;
  readonly signal: string;
  readonly temperature: string;
  readonly resistance: string;
  readonly input: string;
  readonly pressure: string;
  readonly drop: string;
  readonly features: Partial<Omit<Dialect, "columns" | "name">>;
}

const comma = { separator: ";", format: FORMATS[1]! } as const;
const owner = (car: string, kind: SignalKind, units: string, features: Owner["features"]): Owner => {
  const [flow = "", signal = "", temperature = "", resistance = "", input = "", pressure = "", drop = ""] =
    units.split(" | ");
  return { car, kind, flow, signal, temperature, resistance, input, pressure, drop, features };
};

const OWNERS: readonly Owner[] = [
  owner("Harrow 2.2", "frequency", "g/s | Hz | degC | ohm | V | kPa absolute | Pa", {}),
  owner("Tarn 1.8", "frequency", "kg/h | Hz | degC | kohm | V | mbar absolute | mbar", {
    ...comma,
    language: "de",
  }),
  owner("Brock 3.0", "voltage", "kg/h | V | degC | ohm | counts 1023 at 5 V | kPa absolute | Pa", {
    ...comma,
    language: "fr",
    units: "row",
    tells: true,
  }),
  owner("Linden 2.0", "frequency", "g/s | us | degC | kohm | mV | bar absolute | kPa", {
    language: "es",
    separator: "\t",
    units: "parentheses",
  }),
  owner("Corrie 1.6", "voltage", "lb/min | V | degF | kohm | V | psi absolute | inH2O", {
    units: "suffix",
    nameStyle: "underscores",
  }),
  owner("Mallow 2.5", "frequency", "lb/min | kHz | degF | ohm | V | inHg absolute | inH2O", {
    units: "glued",
    nameStyle: "capitals",
  }),
  owner("Skerry 1.4", "frequency", "kg/h | Hz | degC | ohm | V | kPa absolute | mbar", {
    ...comma,
    language: "it",
    encoding: "cp1252",
    units: "slash",
  }),
  owner(
    "Drumlin 2.8",
    "voltage",
    "g/s | counts 4095 at 5 V | degC | kohm | counts 4095 at 5 V | kPa absolute | Pa",
    { language: "pl", tells: true, units: "row", separator: "\t" },
  ),
  owner("Fallow 1.9", "frequency", "g/s | ms | K | ohm | V | Pa absolute | Pa", {
    ...comma,
    language: "sv",
    encoding: "utf-16le with mark",
  }),
  owner("Withy 2.4", "frequency", "kg/h | Hz | degC | kohm | V | mbar absolute | kPa", {
    ...comma,
    language: "nl",
    units: "none",
  }),
  owner("Osier 1.2", "voltage", "g/s | mV | degC | ohm | V | kPa absolute | psi", {
    language: "pt",
    separator: "|",
    units: "none",
  }),
  owner("Sorrel 3.6", "frequency", "lb/min | Hz | degF | kohm | V | psi absolute | inH2O", {
    separator: "spaces",
    units: "row",
    nameStyle: "run together",
  }),
];

const grid = (n: number, make: (share: number) => number): Float64Array =>
  Float64Array.from({ length: n }, (_, i) => make(i / (n - 1)));

function turned(values: DriveValues): DriveValues {
  return Object.fromEntries(Object.entries(values).map(([c, v]) => [c, v.toReversed()]));
}

function airflowTable(kind: SignalKind, share: number): DriveValues {
  const airflow = grid(24, (s) => share * (0.0006 + 0.24 * s ** 1.6));
  return { airflow, signal: airflow.map((f) => meterSignal(f / share, kind)) };
}

function element(beta: number): DriveValues {
  const temperature = grid(15, (s) => 253.15 + 110 * s);
  return { temperature, resistance: temperature.map((t) => 2400 * Math.exp(beta * (1 / t - 1 / 298.15))) };
}

function inputTable(): DriveValues {
  const volts = grid(16, (s) => 0.25 + 4.5 * s);
  return {
    "input voltage": volts,
    temperature: volts.map((v) => 1 / (1 / 298.15 + Math.log(v / (5 - v)) / 3450)),
  };
}

function readings(seed: number): DriveValues {
  const chance = random(seed);
  const airflow = grid(15, (s) => 0.05 + 0.085 * s);
  const drop = airflow.map((f) => 42_000 * f * f * (1 + 0.01 * chance.normal()));
  return { airflow, "pressure drop": drop, "engine speed": airflow.map((f) => 700 * f) };
}

function runs(seed: number): DriveValues {
  const drive = inventDrive({ seed, rows: 30, step: 0.2, kind: "frequency", shape: "pull" });
  return drive;
}

const texts = (n: number, make: (i: number) => string): string[] =>
  Array.from({ length: n }, (_, i) => make(i));

/** One file of a car: its columns in `build.ts`'s words, its values, and text columns before them. */
interface Plan {
  readonly kind: FileKind;
  readonly columns: string;
  readonly values: DriveValues;
  readonly before?: readonly Column[];
  readonly features?: Partial<Dialect>;
}

function plans(o: Owner, seed: number): readonly Plan[] {
  const table = `signal:${o.signal}; airflow:${o.flow}`;
  const logColumns = FULL.replace("signal:Hz", `signal:${o.signal}`)
    .replace("airflow:g/s", `airflow:${o.flow}`)
    .replaceAll(":degC", `:${o.temperature}`)
    .replace("kPa absolute", o.pressure);
  const pull = `time:s; engine speed:rpm; manifold pressure:${o.pressure}; intake air:${o.temperature}; throttle:%`;
  const log = (n: number, features: Partial<Dialect>): Plan => ({
    kind: "log",
    columns: logColumns,
    values: inventDrive({ seed: seed + n, rows: 160, step: 0.1, kind: o.kind }),
    features,
  });
  const onePull = (n: number): Plan => ({
    kind: "pull",
    columns: pull,
    values: inventDrive({ seed: seed + 20 + n, rows: 40, step: 0.1, kind: o.kind, shape: "pull" }),
    features: { pullOnly: true, pressureReads: "absolute" },
  });
  const drops = ["snorkel", "filter box", "meter"].map((n) => `pressure drop:${o.drop}::${n}`).join("; ");
  const numbered = (n: number): Column =>
    textColumn(
      "No",
      texts(n, (i) => String(i + 1)),
    );
  return [
    { kind: "airflow table", columns: table, values: airflowTable(o.kind, 1) },
    {
      kind: "airflow table",
      columns: `airflow:${o.flow}; signal:${o.signal}`,
      values: turned(airflowTable(o.kind, 1.2)),
      before: [numbered(24)],
    },
    {
      kind: "element",
      columns: `temperature:${o.temperature}; resistance:${o.resistance}`,
      values: element(3450),
    },
    {
      kind: "element",
      columns: `resistance:${o.resistance}; temperature:${o.temperature}`,
      values: turned(element(3900)),
    },
    {
      kind: "temperature table",
      columns: `input voltage:${o.input}; temperature:${o.temperature}`,
      values: inputTable(),
    },
    { kind: "axis", columns: `signal:${o.signal}`, values: { signal: airflowTable(o.kind, 1).signal! } },
    {
      kind: "runs",
      columns: pull.replace("time:s; ", ""),
      values: runs(seed + 10),
      before: [
        textColumn(
          "Run",
          texts(30, (i) => `r${1 + Math.floor(i / 5)}`),
          "split",
        ),
        textColumn(
          "Side",
          texts(30, (i) => (i < 15 ? "before" : "after")),
        ),
      ],
      features: { pullOnly: true, pressureReads: "absolute" },
    },
    {
      kind: "readings",
      columns: `airflow:${o.flow}; ${drops}`,
      values: readings(seed + 30),
      before: [
        textColumn(
          "Pull",
          texts(15, (i) => String(1 + Math.floor(i / 5))),
        ),
      ],
    },
    onePull(0),
    onePull(1),
    onePull(2),
    log(1, {}),
    log(2, { polling: "held", repeatHeaderEvery: 50 }),
    log(3, { polling: "blank", missing: o.features.separator === "spaces" ? "NaN" : "" }),
  ];
}

/** All files of the twelve invented cars. */
export function carFiles(): readonly CarFile[] {
  return OWNERS.flatMap((o, c) =>
    plans(o, 5000 + 100 * c).map((plan, n): CarFile => {
      const holds = TABLE_KINDS[plan.kind];
      const base = {
        ...PLAIN,
        ...o.features,
        ...plan.features,
        name: `${o.car}, ${plan.kind} ${n + 1}`,
        kind: o.kind,
        ...(holds === undefined ? {} : { holds }),
      };
      const language: Language = base.language;
      const columns = [...(plan.before ?? []), ...columnsFor(plan.columns, { ...base, language })];
      return { ...makeFile({ ...base, columns }, plan.values), kind: plan.kind };
    }),
  );
}
