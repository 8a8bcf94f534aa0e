import type { DecisionResult } from "../../stage/index.js";
import { chance, figure } from "../../text/index.js";
import { ends, range } from "../intervals.js";
import type { Figure } from "../picture.js";
import { level, spanWords } from "../spans.js";
import { toUnit } from "../to-unit.js";
import { nameOf } from "./rows.js";

/** What each change brings, with its interval. */
export function gainFigures({ table, units }: DecisionResult): readonly Figure[] {
  const { rows } = table;
  const power = toUnit(units.power, "power");
  const known = rows.flatMap((row) => (row.gain === null ? [] : [{ row, gain: row.gain }]));
  const [first] = known;
  if (first === undefined) return [];
  const sure = level(first.gain.confidence);
  const unknown = rows.filter((row) => row.gain === null);
  const added = rows.filter((row) => row.flags.includes("gains added"));
  return [
    {
      id: "gain",
      title: "What it brings",
      words: `${known
        .map(({ row, gain }) => {
          const span = spanWords(gain, power, units.power);
          return `${nameOf(row)}: ${figure(power(gain.value))} ${units.power}${span === null ? "" : ` (${sure}: ${span})`}`;
        })
        .join(
          "; ",
        )}.${unknown.length === 0 ? "" : ` Nobody has measured or reckoned ${unknown.map(nameOf).join(", ")}.`}${added.length === 0 ? "" : ` The gain of ${added.map(nameOf).join(", ")} is a sum, which holds only while one change does not take from the other.`}`,
      picture: {
        kind: "bars",
        spec: {
          label: `gain of brake power [${units.power}], with the ${sure} interval`,
          groups: known.map(({ row, gain }) => ({
            name: nameOf(row),
            bars: [
              {
                name: "gain",
                value: power(gain.value),
                text: `${figure(power(gain.value))} ${units.power}`,
                tone: "new" as const,
                ...range(gain, power),
              },
            ],
          })),
        },
      },
      data: [
        { name: "change", text: rows.map(nameOf) },
        {
          name: `gain [${units.power}]`,
          values: rows.map((row) => (row.gain === null ? Number.NaN : power(row.gain.value))),
          digits: 4,
        },
        ...ends(rows, (row) => row.gain, power, "gain", units.power),
        { name: "flags", text: rows.map((row) => row.flags.join(", ")) },
      ],
    },
  ];
}

/** Flow that the signal can still follow after a change. */
export function headroomFigures({ table, units }: DecisionResult): readonly Figure[] {
  const flow = toUnit(units.flow, "mass flow");
  const known = table.rows.flatMap((row) => (row.headroom === null ? [] : [{ row, headroom: row.headroom }]));
  if (known.length === 0) return [];
  const text = (kilograms: number): string => `${figure(flow(kilograms))} ${units.flow}`;
  return [
    {
      id: "headroom",
      title: "Headroom left for the next change",
      words: `${known
        .map(
          ({ row, headroom }) =>
            `${nameOf(row)}: ${headroom.flowLeft < 0 ? `${text(-headroom.flowLeft)} past the end of the usable signal` : `${text(headroom.flowLeft)} left`} (${chance(headroom.probabilityOver)} to run past it)`,
        )
        .join("; ")}. Below zero the engine asks for more air than the meter's signal can follow.`,
      picture: {
        kind: "bars",
        spec: {
          label: `flow left above the demand [${units.flow}]`,
          groups: known.map(({ row, headroom }) => ({
            name: nameOf(row),
            bars: [
              {
                name: "headroom",
                value: flow(headroom.flowLeft),
                text: text(headroom.flowLeft),
                tone: headroom.flowLeft < 0 ? ("limit" as const) : ("new" as const),
              },
            ],
          })),
        },
      },
      data: [
        { name: "change", text: known.map(({ row }) => nameOf(row)) },
        {
          name: `flow left [${units.flow}]`,
          values: known.map(({ headroom }) => flow(headroom.flowLeft)),
          digits: 4,
        },
        {
          name: "chance over [%]",
          values: known.map(({ headroom }) => 100 * headroom.probabilityOver),
          digits: 3,
        },
      ],
    },
  ];
}
