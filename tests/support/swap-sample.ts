import { BellmouthError } from "bellmouth";
import type { OpenText } from "bellmouth/document";

/** A whole swap document, invented, that uses every key at least once. */
export const swapText = `bellmouth: swap 1
title: A wider meter for the hill-climb four
present:
  signal: frequency
  table: present.csv
  accuracy: 2 %
  range: 30 Hz .. 12 kHz
  housing:
    bore: 70 mm ± 0.1 mm
    blockage: 520 mm^2 ± 30 mm^2
    element: 0 .. 0.3
    family: A
    run: 45 mm ± 10 mm
    upstream: screen
    loss: 2.2 ± 0.3
    same-ahead: no
    step: 0 mm
new:
  source: donor
  housing:
    width: 80 mm ± 0.2 mm
    height: 60 mm
    blockage: 500 mm^2
    element: 0.1
    run: 60 mm ± 15 mm
    upstream: {part: elbow, duct-before: 200 mm ± 30 mm}
    step: -0.5 mm
  donor:
    signal: frequency
    table: donor.csv
    accuracy: 3 %
    housing:
      area: 50 cm^2 ± 0.4 cm^2
      perimeter: 260 mm
      blockage: 0 mm^2
      element: 0
      run: developed
      upstream: unknown
      step: 0 mm
air:
  temperature: 68 degF
  pressure: 98.5 kPa absolute
  humidity: 40 %
ecu:
  airflow:
    axis: {from: 1.5 kHz, to: 11.5 kHz, count: 21}
    outside: hold
    capture: {from: 20 Hz, to: 12 kHz, tick: 1 us}
    storage: {step: 0.01 g/s, from: 0 g/s, to: 655.35 g/s}
    fit: minimax
    unit: g/s
    signal-unit: kHz
  temperature:
    direction: signal-to-temperature
    signal: counts
    axis: [0 counts, 512 counts, 1023 counts]
    band: -30 degC .. 100 degC
    pull-up: 2.2 kohm
    supply: 5 V
    converter: {bits: 10, reference: 5 V}
    valid: 20 counts .. 1000 counts
    outside: hold
    storage: {step: 0.75 K, from: -40 degC, to: 150 degC}
    fit: sample
    unit: degC
  limits:
    airflow: 400 g/s
    cylinder-air: [100 mg, 400 mg, 700 mg]
    signal-rationality: {low: 60 Hz, high: 11.9 kHz}
temperature-element:
  present: {beta: {resistance: 2.5 kohm, at: 20 degC, beta: 3500 K}, accuracy: 1 K}
  new: {points: element.csv, accuracy: 0.5 K}
engine: {displacement: 2.2 L, strokes: 4, cylinders: 4, volumetric-efficiency: 95 % ± 3 %}
scenarios:
  - {name: measured, log: {file: pull.csv, airflow: airflow, time: time, sustained: 0.5 s}}
  - {name: wanted, peak: 260 g/s ± 3 %}
  - name: cams, cold day
    engine: {speed: 7000 rpm, volumetric-efficiency: 1.02 ± 0.03}
    day: {temperature: -10 degC, pressure: 102.5 kPa absolute}
idle: {airflow: 3.2 g/s ± 10 %}
restriction: {drop: 8 inH2O ± 0.5, at: 200 g/s ± 3 %, ducts: {before: 76 mm, after: 70 mm}}
sweep: {from: 64 mm, to: 100 mm, step: 2 mm, limits: {share: 90 %, drop: 1 kPa, idle-signal: 1.8 kHz}}
safety: {rich-bias: 1, high-flow-from: 100 g/s}
`;

const files: Readonly<Record<string, string>> = {
  "present.csv": "signal [Hz],airflow [g/s]\n1500,0.5\n4000,20\n11000,220\n",
  "donor.csv": "signal [Hz],airflow [kg/h]\n1500,2\n4000,80\n11000,900\n",
  "element.csv": "temperature [degC],resistance [kohm]\n-30,30.9\n20,2.5\n100,0.19\n",
  "pull.csv": "time [s],engine speed [rpm],airflow [g/s]\n0,1900,11.7\n0.05,1901,\n0.1,1903,20.5\n",
};

/** Opens the sample's files, with changes. */
export const opener =
  (changes: Readonly<Record<string, string>> = {}): OpenText =>
  (name) => {
    const text = changes[name] ?? files[name];
    if (text !== undefined) return text;
    throw new BellmouthError({ code: "E_FILE", message: "there is no such file", found: `'${name}'` });
  };
