import { type DecisionResult, figure } from "bellmouth/stage";
import { type Finding, firstScreen, type Key } from "../first-screen.js";
import type { ReportPart } from "../page.js";
import { toUnit } from "../units.js";
import { costFigure, rateFigures } from "./cost-figures.js";
import { gainFigures, roomFigures } from "./gain-figures.js";
import { money, nameOf, type Row } from "./rows.js";

/** A decision table as part of a page. It says what changes cost and bring; which to make it leaves to the reader. */
export function decisionPart(result: DecisionResult): ReportPart {
  const rates = rateFigures(result);
  const room = roomFigures(result);
  return {
    kind: "decision",
    label: "Decision",
    title: result.title,
    first: firstScreen(
      { tone: "plain", word: "Cost and gain", sentence: sentenceOf(result) },
      keysOf(result),
      findingsOf(result),
    ),
    cautions: result.table.cautions,
    sections: [
      {
        id: "cost-and-gain",
        title: "Cost and gain",
        figures: [costFigure(result), ...gainFigures(result), ...rates],
      },
      ...(room.length === 0 ? [] : [{ id: "next-change", title: "The next change", figures: room }]),
    ],
  };
}

function sentenceOf({ table, units }: DecisionResult): string {
  const power = toUnit(units.power, "power");
  const each = table.rows
    .filter((row) => row.options.length === 1)
    .map(
      (row) =>
        `${nameOf(row)} costs ${money(row.total, table.currency)} and ${row.gain === null ? "nobody has said what it brings" : `brings ${figure(power(row.gain.value))} ${units.power}`}`,
    )
    .join("; ");
  const most = table.rows.reduce<Row | null>(
    (best, row) => (row.saved > (best?.saved ?? 0) ? row : best),
    null,
  );
  return `${each}.${most === null ? "" : ` Done together they share work worth ${money(most.saved, table.currency)}.`}`;
}

/** The least cost of a unit of power, the largest gain, and what sharing saves. */
function keysOf({ table, units }: DecisionResult): readonly Key[] {
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
  const saved = Math.max(0, ...table.rows.map((row) => row.saved));
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

const WORDS: { readonly [flag in Row["flags"][number]]: readonly [Finding["level"], string] } = {
  "gains added": [
    "note",
    "its gain is the sum of the single ones, and holds only while one does not take from another",
  ],
  "gain unknown": ["caution", "nobody has measured or reckoned its gain"],
  "gain not told from zero": [
    "caution",
    "its gain is not told from zero, so its cost per unit of power has no upper limit",
  ],
  "no room left": ["caution", "the engine would ask for more air than the meter's signal can follow"],
};

const findingsOf = ({ table }: DecisionResult): readonly Finding[] =>
  table.rows.flatMap((row) =>
    row.flags.map((flag) => ({ level: WORDS[flag][0], text: `${nameOf(row)}: ${WORDS[flag][1]}.` })),
  );
