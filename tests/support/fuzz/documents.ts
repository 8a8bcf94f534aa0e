import { BellmouthError } from "bellmouth";
import type { OpenText } from "bellmouth/document";
import { parseSource } from "bellmouth/text";
import { opener, swapText } from "../swap-sample.js";

// Invented. Small, so that many cases cost little; the whole sample, with every key, is mutated as well.

const meterRows = [
  [1500, 0.9],
  [2000, 2.1],
  [3000, 7.4],
  [4500, 22.8],
  [6000, 51.5],
  [8000, 108.2],
  [10000, 181.3],
] as const;

/** A full-throttle pull; `k` makes no two alike. */
const pull = (k: number): string =>
  `time [s],speed [rpm],map [kPa],iat [degC],throttle [%]\n${Array.from({ length: 40 }, (_, i) => {
    const [wave, lift] = [Math.sin(i * 1.7 + k), k === 1 || k === 2 ? 0.3 : 0];
    return `${(i / 10).toFixed(1)},${3300 + 90 * i},${(96.9 - 0.02 * i + 0.08 * wave + lift).toFixed(2)},${(33 + 0.2 * wave).toFixed(1)},100\n`;
  }).join("")}`;

/** Files that the small documents name. */
export const TABLES: Readonly<Record<string, string>> = {
  "meter.csv": `signal [Hz],airflow [g/s]\n${meterRows.map((row) => `${row.join(",")}\n`).join("")}`,
  "other.csv": `signal [Hz],airflow [kg/h]\n${meterRows.map(([f, m]) => `${f},${(m * 4.6).toFixed(2)}\n`).join("")}`,
  "element.csv":
    "temperature [degC],resistance [kohm]\n-20,28.7\n0,9.4\n20,3.5\n50,0.97\n80,0.32\n110,0.13\n",
  "readings.csv": `pull,flow [g/s],snorkel [Pa],meter [Pa],hose [Pa]\n${[1, 2, 3]
    .flatMap((pull) =>
      [87, 98, 108, 117, 122].map((flow, i) => {
        const drops = [0.025, 0.14, 0.15].map((k) =>
          (k * flow * flow + ((pull * 7 + i * 3) % 11) - 5).toFixed(0),
        );
        return `${pull},${flow},${drops.join(",")}\n`;
      }),
    )
    .join("")}`,
  ...Object.fromEntries(["a1", "b1", "b2", "a2"].map((id, k) => [`${id}.csv`, pull(k)])),
  "typed.csv": `time [s],MAF [Hz],airflow [g/s]\n${Array.from({ length: 60 }, (_, i) => {
    const f = 2000 + 40 * i;
    return `${(i / 10).toFixed(1)},${f},${(7.4 * (f / 3000) ** 2.8).toFixed(2)}\n`;
  }).join("")}`,
  "pull.csv": "time [s],airflow [g/s]\n0,11.7\n0.1,20.5\n0.2,80\n0.3,81\n0.4,82\n0.5,81\n",
};

const head = `bellmouth: swap 1
title: A wider meter
present:
  signal: frequency
  table: meter.csv
  accuracy: 2 %
  housing: {bore: 70 mm ± 0.1 mm, blockage: 300 mm^2, element: 0, run: 45 mm ± 10 mm, upstream: bellmouth, step: 0 mm}
`;
const tail = `air: {temperature: 20 degC, pressure: 99 kPa absolute}
ecu:
  airflow:
    axis: [1500 Hz, 2500 Hz, 4000 Hz, 6 kHz, 8 kHz, 9.5 kHz]
    outside: hold
    storage: {step: 0.01 g/s, from: 0 g/s, to: 655.35 g/s}
    fit: minimax
    unit: g/s
scenarios:
  - {name: wanted, peak: 190 g/s ± 3 %}
`;
const safety = "safety: {rich-bias: 0, high-flow-from: 60 g/s}\n";

/** The present element in a wider housing. */
export const smallSwap = `${head}new:
  source: same-element
  housing: {bore: 78 mm ± 0.1 mm, blockage: 300 mm^2, element: 0, run: 45 mm ± 10 mm, upstream: bellmouth, step: 0 mm}
${tail}${safety}`;

/** Another car's element, a temperature table, a log, a sweep. */
export const donorSwap = `${head}new:
  source: donor
  housing: {width: 80 mm, height: 60 mm, blockage: 300 mm^2, element: 0 .. 0.2, run: 45 mm ± 10 mm, upstream: bellmouth, step: 0 mm}
  donor: {signal: frequency, table: other.csv, accuracy: 3 %, housing: new}
${tail.replace("outside: hold", "outside: extend").replace("fit: minimax", "fit: sample")}  - {name: pull, log: {file: pull.csv, airflow: airflow, time: time, sustained: 0.1 s}}
  - name: cold
    engine: {displacement: 2.2 L, strokes: 4, speed: 6500 rpm, volumetric-efficiency: 95 % ± 3 %}
    day: {temperature: -10 degC, pressure: 102 kPa absolute}
idle: {airflow: 3.2 g/s ± 10 %}
restriction: {loss: 0.8 ± 0.2}
sweep: {from: 66 mm, to: 90 mm, step: 8 mm, limits: {share: 90 %}}
safety: {rich-bias: 1, high-flow-from: 60 g/s}
`;

/** The small swap with a temperature table. */
export const temperatureSwap = smallSwap.replace(
  "scenarios:",
  `  temperature:
    direction: signal-to-temperature
    signal: voltage
    axis: [0.4 V, 1 V, 2 V, 3 V, 4 V, 4.6 V]
    band: -20 degC .. 90 degC
    pull-up: 2.2 kohm
    supply: 5 V
    outside: hold
    storage: {step: 0.5 K, from: -40 degC, to: 150 degC}
    fit: minimax
    unit: degC
temperature-element: {new: {points: element.csv, accuracy: 0.5 K}}
scenarios:`,
);

export const simulateText = `bellmouth: simulate 1
title: A drive
car: alder
meter: new
planned-error: 5 %
seed: 17
duration: 12 s
roads: [idle, town]
trims: closed-loop
barometer: 98.5 kPa absolute
outside: 15 degC
coolant: 20 degC
log-rate: 5 Hz
faults: {injectors: 96 %, leak: 1.5 mm^2}
`;

export const restrictionText = `bellmouth: restriction 1
title: Where the pressure goes
air: {temperature: 18 degC, pressure: 98.9 kPa absolute, humidity: 55 %}
elements:
  - {name: snorkel, tapping: total}
  - {name: meter, role: meter housing, area: 3991 mm^2 ± 25 mm^2, tapping: static, tapping-bore: 76 mm ± 0.2 mm}
  - {name: hose, bore: 64 mm ± 0.2 mm, tapping: total}
readings: readings.csv
gauge-step: 10 Pa
gauges:
  - {elements: [snorkel, meter, hose], zero: 8 Pa, gain: 1 %}
changes:
  - {element: meter, bore: 83.6 mm ± 0.2 mm, k-ratio: 1 ± 0.15, ducts: 76 mm}
  - {remove: snorkel, left: {bore: 70 mm, k: 0.5 ± 0.1}}
`;

const run = (id: string, side: string, minute: number): string =>
  `  - {id: ${id}, side: ${side}, at: "10:${minute}", air: {temperature: 18 degC, pressure: 98.9 kPa absolute, humidity: 55 %}, course: hill road, log: ${id}.csv}\n`;

export const trialText = `bellmouth: trial 1
title: Did it help
points: [4500 rpm, 5500 rpm, 6400 rpm]
power: 80 %
wanted: {pressure: 100 Pa, temperature: 1 K}
columns: {speed: speed, pressure: map, temperature: iat, throttle: throttle}
pressure-reads: absolute
full-throttle: 95 %
units: {show: Pa, power: kW}
worth: {power: 118 kW ± 4 kW, speed: 6000 rpm, charge-temperature: 32 degC ± 3 K}
runs:
${run("a1", "before", 10)}${run("b1", "after", 20)}${run("b2", "after", 30)}${run("a2", "before", 40)}`;

export const decisionText = `bellmouth: decision 1
title: Worth it
currency: EUR
options:
  - name: housing
    parts: 240
    work: [{name: dyno session, cost: 420}, {name: tables, cost: 0}]
    gain: 1.0 kW ± 0.2 kW
    headroom: {left: 31 g/s, chance-over: 0.1 %}
  - name: cams
    parts: 890
    work: [{name: dyno session, cost: 420}, {name: fitting, cost: 350}]
    gain: 9 kW ± 1.5 kW
together:
  - {options: [housing, cams], headroom: {left: 14 g/s, chance-over: 1 %}}
`;

const refineText = `bellmouth: refine 1
title: First correction
table: {file: meter.csv, signal: frequency, uncertainty: 5 %}
outside: extend
logs: [drive.csv]
`;

const verifyText = `bellmouth: verify 1
title: As typed
table: meter.csv
signal: frequency
outside: hold
log: typed.csv
`;

/** Valid documents, as text; the first stand for most cases. */
export const DOCUMENTS: readonly string[] = [
  smallSwap,
  simulateText,
  decisionText,
  refineText,
  trialText,
  verifyText,
  restrictionText,
  donorSwap,
  temperatureSwap,
  swapText,
];

/** The same as data. */
export const TREES: readonly Record<string, unknown>[] = DOCUMENTS.map((text) => {
  const source = parseSource(text);
  if ("faults" in source) throw source.faults[0];
  return source.tree.data as Record<string, unknown>;
});

/** Opens the files above and the sample's, and no others. */
export const openTable = (changes: Readonly<Record<string, string>> = {}): OpenText => {
  const sample = opener();
  return (name) => {
    const own = Object.hasOwn(changes, name) ? changes[name] : undefined;
    const text = own ?? (Object.hasOwn(TABLES, name) ? TABLES[name] : undefined);
    if (text !== undefined) return text;
    if (/^(?:present|donor)\.csv$/u.test(name)) return sample(name);
    throw new BellmouthError({ code: "E_FILE", message: "there is no such file" });
  };
};
