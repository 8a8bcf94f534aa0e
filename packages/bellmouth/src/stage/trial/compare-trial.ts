import type { TrialDocument } from "../../document/index.js";
import {
  compareRuns,
  type MeasuredDifference,
  type PowerGain,
  powerGain,
  type TrialFlag,
  type TrialResult,
} from "../../intake/index.js";
import { unitScale } from "../../text/index.js";
import { type Pressure, pascals, type TemperatureDifference } from "../../units/index.js";
import { CAUTIONS } from "../cautions.js";
import type { Finding, KeyFigure } from "../result-parts.js";
import type { TrialOutcome } from "./result.js";
import { trialSentence, trialWords } from "./words.js";

/**
 * Judges a back-to-back trial from a document.
 *
 * @param document as `readDocument` gives it, SI
 * @returns plain JSON-ready data in SI
 * @throws faults of `compareRuns` and `powerGain`
 */
export function compareTrial(document: TrialDocument): TrialOutcome {
  const results = document.compare.map(({ options }) => compareRuns(document.runs, options));
  const pressure = results.find((result) => result.quantity === "pressure") ?? null;
  const temperature = results.find((result) => result.quantity === "temperature") ?? null;
  const gain = gainOf(document, pressure, temperature);
  const flags = new Set(results.flatMap((result) => result.flags));
  return {
    bellmouth: "trial 1",
    title: document.title,
    units: document.units,
    verdict: {
      sentence: results.map((result) => trialSentence(result, document.units.pressure)).join(" "),
      findings: [...[...flags].map((flag) => finding(flag)), ...gainFindings(gain, temperature)],
    },
    keyFigures: keyFiguresOf(document, pressure, temperature, gain),
    cautions: CAUTIONS,
    pressure,
    temperature,
    gain,
    logs: document.logs,
  };
}

const finding = (flag: TrialFlag): Finding => {
  const { level, text } = trialWords[flag];
  return { level, code: flag.replaceAll(" ", "-"), text };
};

/**
 * Power of the rise at the point nearest to the power's own speed; the pooled rise where the point has no interval.
 * A change of temperature that was not shown is not counted, and its size widens the interval.
 */
function gainOf(
  document: TrialDocument,
  pressure: TrialResult | null,
  temperature: TrialResult | null,
): PowerGain | null {
  const { worth } = document;
  if (worth === null || pressure === null) return null;
  const distance = (speed: number): number => Math.abs(speed - worth.speed);
  const [point] = [...pressure.points].sort((a, b) => distance(a.speed) - distance(b.speed));
  // A change that the order of the runs cannot tell from heat soak has no interval that a power could rest on.
  const rise = pressure.claim === "cannot tell" ? null : (point?.estimate ?? pressure.pooled.estimate);
  const before = point?.before ?? pressure.pooled.before;
  return powerGain({
    power: worth.power,
    pressure: { value: pascals(pressure.common.pressure - before), u: 0 as Pressure },
    rise: rise ?? { value: point?.effect ?? pressure.pooled.effect, u: null },
    temperature: worth.chargeTemperature,
    temperatureRise: temperature === null ? { value: 0, u: 0 } : countedTemperature(temperature),
    confidence: rise?.confidence ?? 0.95,
  });
}

function countedTemperature({ pooled, claim }: TrialResult): MeasuredDifference<TemperatureDifference> {
  const { effect, estimate } = pooled;
  if (estimate === null || claim === "cannot tell") return { value: effect, u: null };
  return claim === "none" ? { ...estimate, value: 0, u: Math.hypot(estimate.u, effect) } : estimate;
}

function gainFindings(gain: PowerGain | null, temperature: TrialResult | null): Finding[] {
  if (gain === null) return [];
  const findings: Finding[] = [];
  const add = (level: Finding["level"], code: string, text: string): void => {
    findings.push({ level, code, text });
  };
  if (gain.unjudged.length > 0) {
    const names = gain.unjudged.map((one) => (one === "rise" ? "pressure" : "temperature")).join(" and of ");
    add(
      "caution",
      "power-without-interval",
      `The power has no interval, because these runs do not judge the change of ${names} that is in it.`,
    );
  }
  if (temperature === null) {
    add(
      "note",
      "power-temperature-not-measured",
      "The power counts the pressure alone: no charge or intake temperatures were compared, and 10 K warmer takes back about as much as 2 % less pressure.",
    );
  } else if (temperature.claim === "none") {
    add(
      "note",
      "power-temperature-not-shown",
      "No change of temperature was shown, so none is counted in the power; its interval allows for the one that was read.",
    );
  }
  const { from, to } = gain.gain;
  if (from !== null && to !== null && from <= 0 && to >= 0) {
    add("note", "power-not-shown", "The interval of the power holds zero: no gain is shown.");
  }
  return findings;
}

function keyFiguresOf(
  document: TrialDocument,
  pressure: TrialResult | null,
  temperature: TrialResult | null,
  gain: PowerGain | null,
): KeyFigure[] {
  const { factor } = unitScale(document.units.pressure, "pressure difference");
  const figures: KeyFigure[] = [];
  const add = (name: string, result: TrialResult, scale: number, unit: string, meaning: string): void => {
    const { effect, estimate } = result.pooled;
    figures.push({
      name,
      value: effect / scale,
      low: estimate === null || estimate.from === null ? null : estimate.from / scale,
      high: estimate === null || estimate.to === null ? null : estimate.to / scale,
      unit,
      meaning,
    });
  };
  if (pressure !== null) {
    add(
      "Manifold pressure",
      pressure,
      factor,
      document.units.pressure,
      "rise from before to after, over all points, in common air",
    );
  }
  if (temperature !== null) {
    add("Intake air", temperature, 1, "K", "change over the outside air; below zero is colder");
  }
  if (gain !== null) {
    const power = unitScale(document.units.power, "power").factor;
    figures.push({
      name: "Power",
      value: gain.gain.value / power,
      low: gain.gain.from === null ? null : gain.gain.from / power,
      high: gain.gain.to === null ? null : gain.gain.to / power,
      unit: document.units.power,
      meaning: "what pressure and temperature are worth by the form of the power-test standards",
    });
  }
  return figures;
}
