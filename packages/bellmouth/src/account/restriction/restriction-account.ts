import type { RestrictionResult } from "../../stage/index.js";
import { columnDecimals, figure, fixed, inUnit, unitScale, unitSign } from "../../text/index.js";
import type { Account, AccountTable } from "../account.js";
import { figuresOf } from "../keys.js";
import { toUnit } from "../to-unit.js";
import { changeFigures } from "./change-figures.js";
import { readingFigure } from "./reading-figure.js";
import { dropFigure, shapeFigures, shareFigure } from "./tract-figures.js";

/** What a restriction budget has to say. */
export function restrictionAccount(result: RestrictionResult): Account {
  const { verdict, budget } = result;
  const changes = changeFigures(result);
  const told = !budget.flags.includes("total not distinguishable from zero");
  return {
    kind: "restriction",
    label: "Restriction",
    title: result.title,
    verdict: {
      level: "told",
      words: told ? "Shares told" : "Not distinguishable",
      sentence: verdict.sentence,
    },
    figures: figuresOf(result.keyFigures),
    findings: verdict.findings,
    entry: [],
    lead: [shareFigure(result), ...changes.slice(0, 1)],
    steps: [],
    stop: null,
    sections: [
      {
        id: "tract",
        title: "Pressure loss by part",
        text: [],
        tables: [partTable(result)],
        figures: [dropFigure(result), readingFigure(result), ...shapeFigures(result)],
      },
      ...(result.changes.length === 0
        ? []
        : [
            {
              id: "what-if",
              title: "What a change would do",
              text: [],
              tables: [changeTable(result)],
              figures: changes.slice(1),
            },
          ]),
      { id: "method", title: "How it was made", text: methodWords(result), tables: [], figures: [] },
    ],
    cautions: result.cautions,
  };
}

function partTable({ budget, units }: RestrictionResult): AccountTable {
  const pressure = toUnit(units.pressure, "pressure difference");
  const drops = budget.elements.map((element) => pressure(element.drop.to ?? element.drop.value));
  const decimals = columnDecimals(drops, 3);
  const value = (one: number | null, show: (si: number) => number, digits: number): string =>
    one === null ? "–" : fixed(show(one), digits);
  const share = (si: number): number => 100 * si;
  const self = (si: number): number => si;
  const drop = { unit: unitSign(units.pressure), align: "right" } as const;
  const right = { unit: "%", align: "right" } as const;
  const plain = { unit: "", align: "right" } as const;
  return {
    id: "parts",
    caption: "Pressure loss by part",
    hint: `At ${inUnit(budget.peak, units.flow, "mass flow")}. Low and high: 95 % interval. K: loss coefficient.`,
    columns: [
      { name: "part", unit: "", align: "left" },
      { name: "loss", ...drop },
      { name: "low", ...drop, wide: true },
      { name: "high", ...drop, wide: true },
      { name: "share", ...right, strong: true },
      { name: "low", ...right },
      { name: "high", ...right },
      { name: "K", ...plain, wide: true },
      { name: "Mach", ...plain, wide: true },
      { name: "remarks", unit: "", align: "left", wide: true },
    ],
    rows: budget.elements.map((element) => ({
      cells: [
        element.name,
        value(element.drop.value, pressure, decimals),
        value(element.drop.from, pressure, decimals),
        value(element.drop.to, pressure, decimals),
        value(element.share.value, share, 1),
        value(element.share.from, share, 1),
        value(element.share.to, share, 1),
        value(element.k?.value ?? null, self, 2),
        value(element.mach, self, 2),
        element.flags.join(", "),
      ],
    })),
    brief: true,
  };
}

function changeTable({ changes, units }: RestrictionResult): AccountTable {
  const pressure = toUnit(units.pressure, "pressure difference");
  const flow = toUnit(units.flow, "mass flow");
  const decimals = columnDecimals(
    changes.flatMap((one) => [pressure(one.before.value), pressure(one.after.value)]),
    3,
  );
  const end = (one: number | null): string => (one === null ? "–" : fixed(pressure(one), decimals));
  const right = { unit: unitSign(units.pressure), align: "right" } as const;
  return {
    id: "changes",
    caption: "What a change would do, at the same engine speed",
    hint: "Rise: of pressure at the end of the tract, with its 95 % interval.",
    columns: [
      { name: "change", unit: "", align: "left" },
      { name: "loss now", ...right },
      { name: "loss then", ...right },
      { name: "rise", ...right, strong: true },
      { name: "low", ...right },
      { name: "high", ...right },
      { name: "flow then", unit: unitSign(units.flow), align: "right" },
    ],
    rows: changes.map((one) => ({
      cells: [
        one.change.change === "remove"
          ? `without ${one.change.element}`
          : `${one.change.element} of ${figure(1e6 * one.change.area.value, 4)} mm²`,
        end(one.before.value),
        end(one.after.value),
        end(one.rise.value),
        end(one.rise.from),
        end(one.rise.to),
        fixed(flow(one.atSpeed.flow), columnDecimals([flow(one.atSpeed.flow)], 4)),
      ],
    })),
    brief: true,
  };
}

function methodWords({ budget, units }: RestrictionResult): readonly string[] {
  const flow = unitScale(units.flow, "mass flow");
  return [
    `${budget.points} points from ${figure(budget.flowFrom / flow.factor)} to ${figure(budget.flowTo / flow.factor)} ${unitSign(units.flow)}. Each part loses dp = a m + b m²/ρ with a, b ≥ 0 and the density of its place. Losses are of total pressure: a static tapping is corrected for the stream's own head.`,
    "Intervals hold whatever the stations' errors have in common (a gust, the flow, the barometer), because the covariance is estimated from the readings.",
  ];
}
