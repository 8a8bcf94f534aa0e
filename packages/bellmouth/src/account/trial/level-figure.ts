import type { TrialOutcome } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import type { Figure, Ranged, Series, XY } from "../picture.js";
import { level } from "../spans.js";
import { type Compared, quantityOf, rpm } from "./quantity.js";

/** Both sides by engine speed, with every run as a dot and the interval of the difference on the after side. */
export function levelFigure(result: Compared, outcome: TrialOutcome): Figure {
  const quantity = quantityOf(result, outcome);
  const { show, unit } = quantity;
  const speeds = result.points.map((point) => rpm(point.speed));
  const both = result.points.flatMap((point) =>
    point.before === null || point.effect === null
      ? []
      : [{ point, before: point.before, after: quantity.after(point.before, point.effect) }],
  );
  const dots = (side: "before" | "after"): XY[] =>
    result.runs
      .filter((run) => run.side === side)
      .flatMap((run) =>
        run.values.flatMap((value, i) => (value === null ? [] : [{ x: speeds[i] ?? 0, y: show(value) }])),
      );
  const ranged: Ranged[] = both.flatMap(({ point, before, after }) => {
    const one = point.estimate;
    if (one === null || one.from === null || one.to === null) return [];
    const ends = [one.from, one.to].map((effect) => show(quantity.after(before, effect)));
    return [{ x: rpm(point.speed), y: show(after), low: Math.min(...ends), high: Math.max(...ends) }];
  });
  const sure = level(result.pooled.estimate?.confidence ?? 0.95);
  const line = (name: string, tone: "old" | "new", y: (one: (typeof both)[number]) => number): Series => ({
    kind: "line",
    name,
    tone,
    ...(tone === "old" ? { dashed: true } : {}),
    points: both.map((one) => ({ x: rpm(one.point.speed), y: show(y(one)) })),
  });
  const ends = [both[0], both[both.length - 1]].filter((one) => one !== undefined);
  const runs = (side: "before" | "after"): number => result.runs.filter((run) => run.side === side).length;
  return {
    id: `${quantity.id}-levels`,
    title: `${quantity.title} before and after, by engine speed`,
    words: `${ends
      .map(
        ({ point, before, after }) =>
          `At ${figure(rpm(point.speed), 4)} rpm ${figure(show(before))} ${unit} ${quantity.levelName} before and ${figure(show(after))} ${unit} after.`,
      )
      .join(
        " ",
      )} Dots are the runs, ${runs("before")} before and ${runs("after")} after, in common air${ranged.length === 0 ? "; nothing here judges the difference" : `; bars are the ${sure} interval of the difference`}.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: "engine speed [rpm]", scale: "linear" },
        y: { label: `${quantity.levelName} [${unit}]`, scale: "linear" },
        series: [
          line("before", "old", (one) => one.before),
          line("after", "new", (one) => one.after),
          { kind: "points", name: "a run before", tone: "old", points: dots("before") },
          { kind: "points", name: "a run after", tone: "new", points: dots("after") },
          ...(ranged.length === 0
            ? []
            : [
                {
                  kind: "ranges" as const,
                  name: `${sure} interval of the difference`,
                  tone: "warm" as const,
                  points: ranged,
                },
              ]),
        ],
      },
    },
    data: [
      { name: "engine speed [rpm]", values: speeds, digits: 5 },
      {
        name: `before [${unit}]`,
        values: result.points.map((point) => (point.before === null ? Number.NaN : show(point.before))),
        digits: 4,
      },
      {
        name: `after [${unit}]`,
        values: result.points.map((point) =>
          point.before === null || point.effect === null
            ? Number.NaN
            : show(quantity.after(point.before, point.effect)),
        ),
        digits: 4,
      },
      ...result.runs.map((run) => ({
        name: `run ${run.id}, ${run.side} [${unit}]`,
        values: run.values.map((value) => (value === null ? Number.NaN : show(value))),
        digits: 4,
      })),
    ],
  };
}
