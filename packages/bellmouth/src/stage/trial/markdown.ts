import type { Estimate, TrialResult } from "../../intake/index.js";
import { toRpm } from "../../units/index.js";
import { bullets, findingList, joinParts, markdownTable } from "../markdown-parts.js";
import { figure, inUnit, percent } from "../plan/figures.js";
import { escapeText } from "../plan/markdown.js";
import type { TrialOutcome } from "./result.js";
import { scaleOf } from "./words.js";

/** A trial's summary in Markdown: verdict first, then by engine speed, what could be seen, what needs a look. */
export function trialMarkdown(outcome: TrialOutcome): string {
  return joinParts([
    `# ${escapeText(outcome.title)}`,
    escapeText(outcome.verdict.sentence),
    gain(outcome),
    findingList(outcome.verdict.findings),
    outcome.pressure === null ? "" : section("Manifold pressure", outcome.pressure, outcome.units.pressure),
    outcome.temperature === null
      ? ""
      : section("Intake air over outside air", outcome.temperature, outcome.units.pressure),
    `## Before you drive\n\n${bullets(outcome.cautions)}`,
    `## How it was made\n\n${bullets([
      "Each run gives one value at each engine speed, by local regression over its samples. The runs, not the samples, are the evidence: degrees of freedom are runs less coefficients.",
      "Drops are brought to common air: at one engine speed a drop follows the density of the outside air.",
      "A difference is claimed where its 95 % interval leaves out zero, and the order of the runs does not put one side first.",
      "Intervals allow for a drift and a heat soak of unknown size, and for the step of the readings: equal readings are not certainty.",
    ])}`,
  ]);
}

function gain(outcome: TrialOutcome): string {
  if (outcome.gain === null) return "";
  const power = (value: number): string => inUnit(value, outcome.units.power, "power");
  const span = (one: Estimate): string =>
    one.from === null || one.to === null
      ? ""
      : ` (${percent(one.confidence, 2)}: ${power(one.from)} to ${power(one.to)})`;
  const { gain: form, byDensity, parts } = outcome.gain;
  return `That is worth **${power(form.value)}**${span(form)} of brake power by the form of the power-test standards: ${power(parts.pressure)} from pressure, ${power(parts.temperature)} from temperature. Density alone would say ${power(byDensity.value)}.`;
}

function section(title: string, result: TrialResult, pressureUnit: string): string {
  const { factor, unit } = scaleOf(result, pressureUnit);
  const value = (x: number | null): string => (x === null ? "" : `${figure(x / factor)} ${unit}`);
  const span = (one: Estimate | null): string =>
    one === null || one.from === null || one.to === null
      ? "too few runs"
      : `${figure(one.from / factor)} to ${figure(one.to / factor)} ${unit}`;
  const level = result.quantity === "pressure" ? "drop before" : "over outside before";
  const rows = result.points.map((point) => [
    `${Math.round(toRpm(point.speed))} rpm`,
    value(point.before),
    point.effect === null ? "" : `**${value(point.effect)}**`,
    span(point.estimate),
    `${point.runs.before} + ${point.runs.after}`,
  ]);
  rows.push([
    "all",
    value(result.pooled.before),
    `**${value(result.pooled.effect)}**`,
    span(result.pooled.estimate),
    `${result.runs.filter((run) => run.side === "before").length} + ${result.runs.filter((run) => run.side === "after").length}`,
  ]);
  const lines = [
    result.runSd === null ? "" : `One run lies about another by ${value(result.runSd)} (standard deviation).`,
    result.drift === null
      ? ""
      : `Both sides drifted by ${value(result.drift.value)} an hour (${span(result.drift)}).`,
    result.detectable === null
      ? ""
      : `This trial would have shown a true difference of ${value(result.detectable)} with a probability of ${percent(result.power, 2)}.`,
    needed(result, value),
  ].filter((line) => line !== "");
  return `## ${title}\n\n${markdownTable(["engine speed", level, "change", "interval", "runs"], rows)}${lines.length === 0 ? "" : `\n\n${bullets(lines)}`}`;
}

function needed(result: TrialResult, value: (x: number) => string): string {
  if (result.needed === null) return "";
  const { wanted, perSide, order, power } = result.needed;
  if (perSide === null) {
    return result.runSd === null
      ? `How many runs would show ${value(wanted)} cannot be said before the scatter of a run is known.`
      : `More than 100 runs a side would be needed to show ${value(wanted)}: a steadier road, car or gauge is the way.`;
  }
  return `To show ${value(wanted)} takes ${perSide} runs a side (probability ${percent(power ?? 0, 2)}), in the order ${order.map((side) => (side === "before" ? "old" : "new")).join(", ")}.`;
}
