import type { DecisionResult, FindingLevel } from "../../stage/index.js";
import { chance, columnDecimals, figure, fixed, unitSign } from "../../text/index.js";
import type { Account, AccountTable } from "../account.js";
import { figuresOf } from "../keys.js";
import { toUnit } from "../to-unit.js";
import { costFigure, rateFigures } from "./cost-figures.js";
import { gainFigures, headroomFigures } from "./gain-figures.js";
import { money, nameOf, type Row } from "./rows.js";

/** What a decision table has to say: what changes cost and bring. Which to make it leaves to the reader. */
export function decisionAccount(result: DecisionResult): Account {
  const headroom = headroomFigures(result);
  return {
    kind: "decision",
    label: "Decision",
    title: result.title,
    verdict: { level: "told", words: "Cost and gain", sentence: sentenceOf(result) },
    figures: figuresOf(keysOf(result)),
    findings: findingsOf(result),
    entry: [],
    lead: [costFigure(result), ...gainFigures(result)],
    steps: [],
    stop: null,
    sections: [
      {
        id: "options",
        title: "Gain, remaining headroom, cost",
        text: [
          "Work of one name is paid once when done together. Costs per unit of power carry the interval of the gain; where the gain may be nothing, there is no upper limit.",
        ],
        tables: [optionTable(result), ...addedTable(result)],
        figures: [...rateFigures(result), ...headroom],
      },
    ],
    cautions: result.table.cautions,
  };
}

function optionTable({ table, units }: DecisionResult): AccountTable {
  const power = toUnit(units.power, "power");
  const flow = toUnit(units.flow, "mass flow");
  const gains = columnDecimals(
    table.rows.flatMap((row) => (row.gain === null ? [] : [power(row.gain.to ?? row.gain.value)])),
    3,
  );
  const rates = columnDecimals(
    table.rows.flatMap((row) => row.perKilowatt?.value ?? []),
    3,
  );
  const end = (one: number | null | undefined, show: (si: number) => number, digits: number): string =>
    one === null || one === undefined ? "–" : fixed(show(one), digits);
  const cost = { unit: table.currency, align: "right" } as const;
  const gain = { unit: unitSign(units.power), align: "right" } as const;
  const self = (value: number): number => value;
  return {
    id: "options",
    caption: "Gain, remaining headroom, cost",
    hint: "Low and high: 95 % interval.",
    columns: [
      { name: "change", unit: "", align: "left" },
      { name: "parts", ...cost, wide: true },
      { name: "work", ...cost, wide: true },
      { name: "total", ...cost, strong: true },
      { name: "saved by sharing", ...cost, wide: true },
      { name: "gain", ...gain },
      { name: "low", ...gain },
      { name: "high", ...gain },
      { name: "per kW", ...cost },
      { name: "low", ...cost, wide: true },
      { name: "high", ...cost, wide: true },
      { name: "headroom", unit: unitSign(units.flow), align: "right" },
      { name: "chance of exceeding", unit: "", align: "right", wide: true },
    ],
    rows: table.rows.map((row) => ({
      cells: [
        nameOf(row),
        end(row.parts, self, 0),
        end(row.work, self, 0),
        end(row.total, self, 0),
        row.saved > 0 ? fixed(row.saved, 0) : "–",
        row.gain === null ? "not known" : fixed(power(row.gain.value), gains),
        end(row.gain?.from, power, gains),
        end(row.gain?.to, power, gains),
        end(row.perKilowatt?.value, self, rates),
        end(row.perKilowatt?.from, self, rates),
        row.perKilowatt !== null && row.perKilowatt.to === null
          ? "no limit"
          : end(row.perKilowatt?.to, self, rates),
        row.headroom === null ? "–" : fixed(flow(row.headroom.flowLeft), 1),
        row.headroom === null ? "–" : chance(row.headroom.probabilityOver),
      ],
    })),
    brief: true,
  };
}

/** What each change adds when the others of a combination are done anyway. */
function addedTable({ table }: DecisionResult): AccountTable[] {
  const added = table.rows.flatMap((row) => row.withTheOthers.map((one) => ({ row, one })));
  if (added.length === 0) return [];
  const rates = columnDecimals(
    added.flatMap(({ one }) => one.perKilowatt?.value ?? []),
    3,
  );
  const cost = { unit: table.currency, align: "right" } as const;
  const shown = (value: number | null | undefined): string =>
    value === null || value === undefined ? "–" : fixed(value, rates);
  return [
    {
      id: "with-the-others",
      caption: "Done with the others: parts, and the work that is not shared",
      hint: "Low and high: 95 % interval.",
      columns: [
        { name: "change", unit: "", align: "left" },
        { name: "done with", unit: "", align: "left" },
        { name: "adds", ...cost, strong: true },
        { name: "saved", ...cost },
        { name: "per kW", ...cost },
        { name: "low", ...cost, wide: true },
        { name: "high", ...cost, wide: true },
      ],
      rows: added.map(({ row, one }) => ({
        cells: [
          one.option,
          row.options.filter((name) => name !== one.option).join(" + "),
          fixed(one.cost, 0),
          one.saved > 0 ? fixed(one.saved, 0) : "–",
          shown(one.perKilowatt?.value),
          shown(one.perKilowatt?.from),
          one.perKilowatt !== null && one.perKilowatt.to === null ? "no limit" : shown(one.perKilowatt?.to),
        ],
      })),
      brief: true,
    },
  ];
}

function sentenceOf({ table, units }: DecisionResult): string {
  const power = toUnit(units.power, "power");
  const each = table.rows
    .filter((row) => row.options.length === 1)
    .map(
      (row) =>
        `${nameOf(row)} costs ${money(row.total, table.currency)} and ${row.gain === null ? "its gain is not known" : `brings ${figure(power(row.gain.value))} ${units.power}`}`,
    )
    .join("; ");
  const most = table.rows.reduce<Row | null>(
    (best, row) => (row.saved > (best?.saved ?? 0) ? row : best),
    null,
  );
  return `${each}.${most === null ? "" : ` Done together they share work worth ${money(most.saved, table.currency)}.`}`;
}

/** The least cost of a unit of power, the largest gain, and what sharing saves. */
function keysOf({ table, units }: DecisionResult): Parameters<typeof figuresOf>[0] {
  const power = toUnit(units.power, "power");
  const kilowatt = units.power === "kW" || units.power === "W";
  const rated = table.rows.flatMap((row) => {
    const rate = kilowatt ? row.perKilowatt : row.perHorsepower;
    return rate === null || rate.value === null ? [] : [{ row, rate, value: rate.value }];
  });
  const cheapest = [...rated].sort((a, b) => a.value - b.value)[0];
  const largest = table.rows
    .flatMap((row) => (row.gain === null ? [] : [{ row, gain: row.gain }]))
    .sort((a, b) => b.gain.value - a.gain.value)[0];
  const saved = table.rows.reduce((most, row) => Math.max(most, row.saved), 0);
  return [
    ...(cheapest === undefined
      ? []
      : [
          {
            name: `Least cost per ${kilowatt ? "kW" : "hp"}`,
            value: cheapest.value,
            low: cheapest.rate.from,
            high: cheapest.rate.to,
            unit: table.currency,
            meaning: nameOf(cheapest.row),
          },
        ]),
    ...(largest === undefined
      ? []
      : [
          {
            name: "Largest gain",
            value: power(largest.gain.value),
            low: largest.gain.from === null ? null : power(largest.gain.from),
            high: largest.gain.to === null ? null : power(largest.gain.to),
            unit: units.power,
            meaning: nameOf(largest.row),
          },
        ]),
    ...(saved > 0
      ? [
          {
            name: "Saved by sharing",
            value: saved,
            low: null,
            high: null,
            unit: table.currency,
            meaning: "work that several changes need and that is paid once",
          },
        ]
      : []),
  ];
}

const WORDS: { readonly [flag in Row["flags"][number]]: readonly [FindingLevel, string] } = {
  "gains added": [
    "note",
    "its gain is the sum of the single ones, and holds only while one does not take from another",
  ],
  "gain unknown": ["caution", "its gain was neither measured nor computed"],
  "loss shown": ["caution", "the interval of its gain lies below zero: a loss"],
  "gain not distinguishable from zero": [
    "caution",
    "its gain is not distinguishable from zero, so its cost per unit of power has no upper limit",
  ],
  "no headroom left": ["caution", "the demand exceeds the usable signal"],
};

const findingsOf = ({ table }: DecisionResult): Account["findings"] =>
  table.rows.flatMap((row) =>
    row.flags.map((flag) => ({ level: WORDS[flag][0], text: `${nameOf(row)}: ${WORDS[flag][1]}.` })),
  );
