import type { TrialOutcome } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import { ends, range } from "../intervals.js";
import type { Figure } from "../picture.js";
import { level, spanWords } from "../spans.js";
import { toUnit } from "../to-unit.js";

/** What the difference is worth in power, and by which way of reckoning. */
export function worthFigures({ gain, units }: TrialOutcome): readonly Figure[] {
  if (gain === null) return [];
  const power = toUnit(units.power, "power");
  const text = (watts: number): string => `${figure(power(watts))} ${units.power}`;
  const sure = level(gain.gain.confidence);
  const span = spanWords(gain.gain, power, units.power);
  return [
    {
      id: "power",
      title: "What it is worth",
      words: `By the form of the power-test standards ${text(gain.gain.value)} of brake power${span === null ? "" : ` (${sure}: ${span})`}: ${text(gain.parts.pressure)} from pressure and ${text(gain.parts.temperature)} from temperature. Density alone would say ${text(gain.byDensity.value)}.`,
      picture: {
        kind: "bars",
        spec: {
          label: `gain of brake power [${units.power}], with the ${sure} interval`,
          groups: [
            {
              name: "by the form of the power-test standards",
              bars: [
                {
                  name: "all",
                  value: power(gain.gain.value),
                  text: text(gain.gain.value),
                  tone: "new",
                  ...range(gain.gain, power),
                },
                {
                  name: "from pressure",
                  value: power(gain.parts.pressure),
                  text: text(gain.parts.pressure),
                  tone: "cool",
                },
                {
                  name: "from temperature",
                  value: power(gain.parts.temperature),
                  text: text(gain.parts.temperature),
                  tone: "warm",
                },
              ],
            },
            {
              name: "by density alone",
              bars: [
                {
                  name: "density alone",
                  value: power(gain.byDensity.value),
                  text: text(gain.byDensity.value),
                  tone: "plain",
                  ...range(gain.byDensity, power),
                },
              ],
            },
          ],
        },
      },
      data: [
        { name: "reckoned", text: ["all", "from pressure", "from temperature", "density alone"] },
        {
          name: `gain [${units.power}]`,
          values: [gain.gain.value, gain.parts.pressure, gain.parts.temperature, gain.byDensity.value].map(
            power,
          ),
          digits: 4,
        },
        ...ends([gain.gain, null, null, gain.byDensity], (one) => one, power, "gain", units.power),
      ],
    },
  ];
}
