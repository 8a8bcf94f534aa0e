import type { RestrictionResult } from "../../stage/index.js";
import { figure, percent } from "../../text/index.js";
import { ends, range } from "../intervals.js";
import { toneOf } from "../palette.js";
import type { Figure } from "../picture.js";
import { level, orGap, spanWords } from "../spans.js";
import { toUnit } from "../to-unit.js";

type Element = RestrictionResult["budget"]["elements"][number];

const pressureOf = (result: RestrictionResult): ((si: number) => number) =>
  toUnit(result.units.pressure, "pressure difference");
const largestFirst = (elements: readonly Element[]): readonly Element[] =>
  [...elements].sort((a, b) => b.drop.value - a.drop.value);
const asPercent = (share: number): number => 100 * share;

/** Drop of every part over flow, one on the other: the height is what the whole tract takes. */
export function dropFigure(result: RestrictionResult): Figure {
  const pressure = pressureOf(result);
  const flow = toUnit(result.units.flow, "mass flow");
  const { budget, byFlow, units } = result;
  const { elements } = budget;
  const rows = byFlow.flow.map((one, i) => ({
    x: flow(one),
    values: elements.map((_, j) => pressure(byFlow.drops[j]?.[i] ?? 0)),
  }));
  const beyond = budget.peak > budget.flowTo * (1 + 1e-9);
  const top = largestFirst(elements)
    .map((element) => `${element.name} ${figure(pressure(element.drop.value))}`)
    .join(", ");
  return {
    id: "drops",
    title: "Pressure lost along the intake, over flow",
    words: `At ${figure(flow(budget.peak))} ${units.flow} the whole tract takes ${figure(pressure(budget.total.value))} ${units.pressure}: ${top}. Readings reach from ${figure(flow(budget.flowFrom))} to ${figure(flow(budget.flowTo))} ${units.flow}; below and above them the fitted law is drawn.`,
    picture: {
      kind: "stack",
      spec: {
        x: { label: `airflow [${units.flow}]`, scale: "linear", from: 0, to: flow(budget.peak) },
        y: { label: `drop of total pressure [${units.pressure}]`, scale: "linear" },
        layers: elements.map((element, j) => ({ name: element.name, tone: toneOf(j) })),
        rows: [{ x: 0, values: elements.map(() => 0) }, ...rows],
        marks: [
          { axis: "x", at: flow(budget.flowFrom), label: "lowest flow read", tone: "plain" },
          ...(beyond
            ? [
                {
                  axis: "x" as const,
                  at: flow(budget.flowTo),
                  label: "highest flow read",
                  tone: "plain" as const,
                },
              ]
            : []),
        ],
      },
    },
    data: [
      { name: `airflow [${units.flow}]`, values: byFlow.flow.map(flow) },
      ...elements.map((element, j) => ({
        name: `${element.name} [${units.pressure}]`,
        values: (byFlow.drops[j] ?? []).map(pressure),
        digits: 4,
      })),
      {
        name: `whole [${units.pressure}]`,
        values: rows.map((row) => row.values.reduce((a, b) => a + b, 0)),
        digits: 4,
      },
    ],
  };
}

/** Share of each part at peak, with its interval. */
export function shareFigure(result: RestrictionResult): Figure {
  const pressure = pressureOf(result);
  const { budget, units } = result;
  const { elements } = budget;
  const sure = level(budget.confidence);
  return {
    id: "shares",
    title: "What each part takes at peak flow",
    words: `${largestFirst(elements)
      .map((element) => {
        const span = spanWords(element.share, asPercent, "%");
        return `${element.name} takes ${percent(element.share.value)}${span === null ? "" : ` (${sure}: ${span})`}`;
      })
      .join("; ")}. Two parts whose intervals overlap are not told apart.`,
    picture: {
      kind: "bars",
      spec: {
        label: `share of the drop at peak [%], with the ${sure} interval`,
        groups: elements.map((element) => ({
          name: element.name,
          bars: [
            {
              name: "share",
              value: 100 * element.share.value,
              text: percent(element.share.value),
              tone: element.role === "meter housing" ? ("new" as const) : ("plain" as const),
              ...range(element.share, asPercent),
            },
          ],
        })),
      },
    },
    data: [
      { name: "part", text: elements.map((element) => element.name) },
      {
        name: `drop [${units.pressure}]`,
        values: elements.map((element) => pressure(element.drop.value)),
        digits: 4,
      },
      ...ends(elements, (element) => element.drop, pressure, `drop`, units.pressure),
      { name: "share [%]", values: elements.map((element) => 100 * element.share.value), digits: 4 },
      ...ends(elements, (element) => element.share, asPercent, "share", "%"),
      {
        name: `left by the law, rms [${units.pressure}]`,
        values: elements.map((_, j) => {
          const left = budget.residual[j];
          return left === null || left === undefined ? Number.NaN : pressure(left);
        }),
        digits: 3,
      },
      { name: "flags", text: elements.map((element) => element.flags.join(", ")) },
    ],
  };
}

/** Loss coefficient, speed and Mach number of the parts whose area is known: shape apart from size. */
export function shapeFigures(result: RestrictionResult): readonly Figure[] {
  const known = result.budget.elements.filter((element) => element.k !== null);
  if (known.length === 0) return [];
  const sure = level(result.budget.confidence);
  const same = (k: number): number => k;
  return [
    {
      id: "shape",
      title: "Shape apart from size",
      words: `The loss coefficient K is the drop over the dynamic head in the part's own area: a part with a large K is badly shaped, one with a small K and a large drop is only small. ${known
        .map(
          (element) =>
            `${element.name}: K ${figure(element.k?.value ?? Number.NaN)}${element.velocity === null ? "" : ` at ${figure(element.velocity)} m/s`}${element.mach === null ? "" : `, Mach ${figure(element.mach, 2)}`}`,
        )
        .join("; ")}.`,
      picture: {
        kind: "bars",
        spec: {
          label: `loss coefficient K, with the ${sure} interval`,
          groups: known.map((element) => ({
            name: element.name,
            bars: [
              {
                name: "K",
                value: element.k?.value ?? 0,
                text: figure(element.k?.value ?? Number.NaN),
                tone: element.role === "meter housing" ? ("new" as const) : ("plain" as const),
                ...(element.k === null ? {} : range(element.k, same)),
              },
            ],
          })),
        },
      },
      data: [
        { name: "part", text: known.map((element) => element.name) },
        { name: "K", values: known.map((element) => orGap(element.k?.value)), digits: 3 },
        ...ends(known, (element) => element.k, same, "K", ""),
        {
          name: "open area [mm^2]",
          values: known.map((element) => 1e6 * orGap(element.area?.value)),
          digits: 4,
        },
        { name: "mean speed [m/s]", values: known.map((element) => orGap(element.velocity)), digits: 3 },
        { name: "Mach number", values: known.map((element) => orGap(element.mach)), digits: 3 },
      ],
    },
  ];
}
