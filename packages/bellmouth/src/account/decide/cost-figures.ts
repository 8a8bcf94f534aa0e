import type { DecisionResult } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import type { Figure } from "../picture.js";
import { orGap } from "../spans.js";
import { money, nameOf, type Row } from "./rows.js";

/** What each change costs, in parts and in work, and what is saved where work is shared. */
export function costFigure({ table }: DecisionResult): Figure {
  const { rows, currency } = table;
  const cost = (value: number): string => money(value, currency);
  const shared = rows.filter((row) => row.saved > 0);
  const words = rows
    .map((row) => `${nameOf(row)}: ${cost(row.total)}, of it ${cost(row.parts)} parts`)
    .join("; ");
  return {
    id: "cost",
    title: "What it costs",
    words: `${words}.${shared.map((row) => ` Done together, ${nameOf(row)} share work that is paid once: ${cost(row.saved)} less than one by one.`).join("")}`,
    picture: {
      kind: "bars",
      spec: {
        label: `cost [${currency}]`,
        groups: rows.map((row) => ({
          name: `${nameOf(row)}: ${cost(row.total)} in all`,
          bars: [
            { name: "parts", value: row.parts, text: `parts ${cost(row.parts)}`, tone: "old" as const },
            { name: "work", value: row.work, text: `work ${cost(row.work)}`, tone: "cool" as const },
            ...(row.saved > 0
              ? [
                  {
                    name: "saved by sharing work",
                    value: row.saved,
                    text: `saved ${cost(row.saved)}`,
                    tone: "new" as const,
                  },
                ]
              : []),
          ],
        })),
      },
    },
    data: [
      { name: "change", text: rows.map(nameOf) },
      { name: `parts [${currency}]`, values: rows.map((row) => row.parts), digits: 7 },
      { name: `work [${currency}]`, values: rows.map((row) => row.work), digits: 7 },
      { name: `in all [${currency}]`, values: rows.map((row) => row.total), digits: 7 },
      { name: `saved by sharing [${currency}]`, values: rows.map((row) => row.saved), digits: 7 },
    ],
  };
}

const ends = (rate: Row["perKilowatt"]): string =>
  rate === null || rate.value === null
    ? ""
    : `${rate.from === null ? "0" : figure(rate.from)} to ${rate.to === null ? "no limit" : figure(rate.to)}`;

/** Cost of one kW or hp, by the unit that the document counts power in. */
export function rateFigures({ table, units }: DecisionResult): readonly Figure[] {
  const { rows, currency } = table;
  const kilowatt = units.power === "kW" || units.power === "W";
  const unit = kilowatt ? "kW" : "hp";
  const rated = rows.flatMap((row) => {
    const rate = kilowatt ? row.perKilowatt : row.perHorsepower;
    return rate === null || rate.value === null ? [] : [{ row, rate, value: rate.value }];
  });
  if (rated.length === 0) return [];
  return [
    {
      id: "rate",
      title: `What one ${unit} costs`,
      words: `${rated
        .map(
          ({ row, rate, value }) =>
            `${nameOf(row)}: ${figure(value)} ${currency} per ${unit} (${ends(rate)})`,
        )
        .join(
          "; ",
        )}. The interval is that of the gain; where the gain may be nothing, the cost has no upper limit.`,
      picture: {
        kind: "bars",
        spec: {
          label: `cost per ${unit} [${currency}], with the interval of the gain`,
          groups: rated.map(({ row, rate, value }) => ({
            name: nameOf(row),
            bars: [
              {
                name: "cost",
                value,
                text: `${figure(value)} ${currency}${rate.to === null ? ", no upper limit" : ""}`,
                tone: "new" as const,
                ...(rate.from === null || rate.to === null ? {} : { low: rate.from, high: rate.to }),
              },
            ],
          })),
        },
      },
      data: [
        { name: "change", text: rows.map(nameOf) },
        ...(["perKilowatt", "perHorsepower"] as const).flatMap((key) => {
          const per = key === "perKilowatt" ? "kW" : "hp";
          return [
            {
              name: `per ${per} [${currency}]`,
              values: rows.map((row) => orGap(row[key]?.value)),
              digits: 4,
            },
            { name: `interval per ${per}`, text: rows.map((row) => ends(row[key])) },
          ];
        }),
      ],
    },
  ];
}
