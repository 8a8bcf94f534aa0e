import type { TrialOutcome } from "../../stage/index.js";
import { columnDecimals, figure, fixed, inUnit, percent, unitSign } from "../../text/index.js";
import type { Account, AccountSection, AccountTable } from "../account.js";
import { figuresOf } from "../keys.js";
import { effectFigure } from "./effect-figure.js";
import { levelFigure } from "./level-figure.js";
import { orderFigure } from "./order-figure.js";
import { type Compared, quantityOf, rpm } from "./quantity.js";
import { worthFigures } from "./worth-figure.js";

/** What a back-to-back trial has to say. */
export function trialAccount(outcome: TrialOutcome): Account {
  const results = [outcome.pressure, outcome.temperature].filter((one) => one !== null);
  const worth = worthFigures(outcome);
  return {
    kind: "trial",
    label: "Trial",
    title: outcome.title,
    verdict: { level: "told", words: verdictWords(results), sentence: outcome.verdict.sentence },
    figures: figuresOf(outcome.keyFigures),
    findings: outcome.verdict.findings,
    entry: [],
    lead: results.map((result) => effectFigure(result, outcome)),
    steps: [],
    stop: null,
    sections: [
      ...results.map((result) => comparison(result, outcome)),
      ...(worth.length === 0
        ? []
        : [{ id: "worth", title: "Worth in power", text: gainWords(outcome), tables: [], figures: worth }]),
      { id: "method", title: "How it was made", text: METHOD, tables: [], figures: [] },
    ],
    cautions: outcome.cautions,
  };
}

/** One of three answers: a difference, none shown, or nothing that judges the reading. */
function verdictWords(results: readonly Compared[]): string {
  if (results.every((result) => result.pooled.estimate === null)) return "Cannot tell";
  if (results.some(({ claim }) => claim === "rise" || claim === "fall")) return "Difference shown";
  return results.some(({ claim }) => claim === "cannot tell") ? "Cannot tell" : "No difference shown";
}

function comparison(result: Compared, outcome: TrialOutcome): AccountSection {
  const { id, title } = quantityOf(result, outcome);
  return {
    id,
    title,
    text: comparisonWords(result, outcome),
    tables: [pointTable(result, outcome)],
    figures: [levelFigure(result, outcome), orderFigure(result, outcome)],
  };
}

function pointTable(result: Compared, outcome: TrialOutcome): AccountTable {
  const { id, title, show, unit, levelName } = quantityOf(result, outcome);
  const points = [...result.points, null];
  const effects = result.points.flatMap((point) => (point.effect === null ? [] : [show(point.effect)]));
  const levels = result.points.flatMap((point) => (point.before === null ? [] : [show(point.before)]));
  const [decimals, levelDecimals] = [columnDecimals(effects, 3), columnDecimals(levels, 4)];
  const value = (one: number | null | undefined, digits: number): string =>
    one === null || one === undefined ? "–" : fixed(show(one), digits);
  const runs = (side: "before" | "after"): number => result.runs.filter((run) => run.side === side).length;
  const right = { unit: unitSign(unit), align: "right" } as const;
  return {
    id,
    caption: `${title}, by engine speed`,
    hint: `Present: ${levelName}. Change: after less before, with its 95 % interval.`,
    columns: [
      { name: "engine speed", unit: "rpm", align: "right" },
      { name: "present", ...right },
      { name: "change", ...right, strong: true },
      { name: "low", ...right },
      { name: "high", ...right },
      { name: "runs, old + new", unit: "", align: "right" },
    ],
    rows: points.map((point) => {
      const row = point ?? { ...result.pooled, runs: { before: runs("before"), after: runs("after") } };
      return {
        ...(point === null ? { group: "all speeds together" } : {}),
        cells: [
          point === null ? "all" : String(Math.round(rpm(point.speed))),
          value(row.before, levelDecimals),
          value(row.effect, decimals),
          value(row.estimate?.from, decimals),
          value(row.estimate?.to, decimals),
          `${row.runs.before} + ${row.runs.after}`,
        ],
      };
    }),
    brief: true,
  };
}

/** What the trial could have shown, and what a wanted difference would take. */
function comparisonWords(result: Compared, outcome: TrialOutcome): readonly string[] {
  const { show, unit } = quantityOf(result, outcome);
  const value = (si: number, digits = 3): string => `${figure(show(si), digits)} ${unitSign(unit)}`;
  const { needed, detectable, runSd, drift } = result;
  return [
    runSd === null ? "" : `Runs repeat within ${value(runSd, 2)} (standard deviation).`,
    drift === null || drift.from === null || drift.to === null
      ? ""
      : `Both sides drifted by ${value(drift.value)} an hour (95 %: ${figure(show(drift.from))} to ${figure(show(drift.to))}).`,
    detectable === null
      ? "The minimum detectable difference cannot be said: nothing tells how well a run repeats."
      : `Minimum detectable difference: ${value(detectable, 2)}, shown with a probability of ${percent(result.power, 2)}.`,
    needed === null
      ? ""
      : needed.perSide === null
        ? `How many runs would show ${value(needed.wanted)} cannot be said, or is more than 100 per configuration.`
        : `To show ${value(needed.wanted)} takes ${needed.perSide} runs per configuration (probability ${percent(needed.power ?? 0, 2)}), in the order ${needed.order.map((side) => (side === "before" ? "old" : "new")).join(", ")}.`,
  ].filter((text) => text !== "");
}

function gainWords({ gain, units }: TrialOutcome): readonly string[] {
  if (gain === null) return [];
  const power = (value: number): string => inUnit(value, units.power, "power");
  return [
    `By the form of the power-test standards ${power(gain.parts.pressure)} come from pressure and ${power(gain.parts.temperature)} from temperature. Density alone would say ${power(gain.byDensity.value)}.`,
  ];
}

const METHOD = [
  "Each run gives one value at each engine speed, by local regression over its samples. The runs, not the samples, are the evidence: degrees of freedom are runs less coefficients.",
  "Drops are corrected to reference air: at one engine speed a drop follows the density of the outside air.",
  "A difference is claimed where its 95 % interval leaves out zero, and the order of the runs does not put one side first.",
  "Intervals allow for a drift and a heat soak of unknown size, and for the step of the readings: equal readings are not certainty.",
];
