import type { RestrictionResult } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import { ends, range } from "../intervals.js";
import type { Figure } from "../picture.js";
import { level, spanWords } from "../spans.js";
import { toUnit } from "../to-unit.js";

type Change = RestrictionResult["changes"][number];

const nameOf = ({ change }: Change): string =>
  change.change === "remove"
    ? `without ${change.element}`
    : `${change.element} of ${figure(1e6 * change.area.value, 4)} mm²`;

/** What each change is predicted to give back at the same engine speed. */
export function changeFigures(result: RestrictionResult): readonly Figure[] {
  const { changes, units } = result;
  const [first] = changes;
  if (first === undefined) return [];
  const pressure = toUnit(units.pressure, "pressure difference");
  const flow = toUnit(units.flow, "mass flow");
  const sure = level(first.rise.confidence);
  const rise = (change: Change): string => `${figure(pressure(change.rise.value))} ${units.pressure}`;
  return [
    {
      id: "changes",
      title: "What a change would give back",
      words: `Predicted rise of pressure at the end of the tract, at the same engine speed: less restriction draws more air, which takes a little of the rise away again. ${changes
        .map((change) => {
          const span = spanWords(change.rise, pressure, units.pressure);
          return `${nameOf(change)}: ${rise(change)}${span === null ? "" : ` (${sure}: ${span})`}`;
        })
        .join("; ")}.`,
      picture: {
        kind: "bars",
        spec: {
          label: `rise of pressure [${units.pressure}], with the ${sure} interval`,
          groups: changes.map((change) => ({
            name: nameOf(change),
            bars: [
              {
                name: "rise",
                value: pressure(change.rise.value),
                text: rise(change),
                tone: "new" as const,
                ...range(change.rise, pressure),
              },
            ],
          })),
        },
      },
      data: [
        { name: "change", text: changes.map(nameOf) },
        {
          name: `drop now [${units.pressure}]`,
          values: changes.map((one) => pressure(one.before.value)),
          digits: 4,
        },
        {
          name: `drop then, same flow [${units.pressure}]`,
          values: changes.map((one) => pressure(one.after.value)),
          digits: 4,
        },
        {
          name: `rise [${units.pressure}]`,
          values: changes.map((one) => pressure(one.rise.value)),
          digits: 4,
        },
        ...ends(changes, (one) => one.rise, pressure, "rise", units.pressure),
        { name: `flow then [${units.flow}]`, values: changes.map((one) => flow(one.atSpeed.flow)) },
        {
          name: "pressure then [kPa absolute]",
          values: changes.map((one) => one.atSpeed.pressure / 1000),
        },
      ],
    },
  ];
}
