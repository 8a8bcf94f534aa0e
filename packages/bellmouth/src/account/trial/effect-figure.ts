import type { TrialOutcome } from "../../stage/index.js";
import { figure, percent } from "../../text/index.js";
import { ends } from "../intervals.js";
import type { Figure, Ranged, Series } from "../picture.js";
import { level, spanWords } from "../spans.js";
import { type Compared, quantityOf, rpm } from "./quantity.js";

/** The difference by engine speed, the pooled one, and the size below which this trial is blind. */
export function effectFigure(result: Compared, outcome: TrialOutcome): Figure {
  const quantity = quantityOf(result, outcome);
  const { show, unit } = quantity;
  const { pooled, detectable } = result;
  const sure = level(pooled.estimate?.confidence ?? 0.95);
  const seen = result.points.filter((point) => point.effect !== null);
  const speeds = seen.map((point) => rpm(point.speed));
  const [from, to] = [Math.min(...speeds), Math.max(...speeds)];
  const across = (y: number, low: number, high: number): Ranged[] =>
    [from, to].map((x) => ({ x, y, low, high }));
  const ranged: Ranged[] = seen.flatMap((point) => {
    const one = point.estimate;
    return one === null || one.from === null || one.to === null
      ? []
      : [{ x: rpm(point.speed), y: show(one.value), low: show(one.from), high: show(one.to) }];
  });
  const unjudged = seen.filter(
    (point) => point.estimate === null || point.estimate.from === null || point.estimate.to === null,
  );
  const whole = pooled.estimate;
  const series: Series[] = [
    ...(whole === null || whole.from === null || whole.to === null
      ? []
      : [
          {
            kind: "band" as const,
            name: `over all speeds, ${sure} interval`,
            tone: "new" as const,
            points: across(show(pooled.effect), show(whole.from), show(whole.to)),
          },
        ]),
    {
      kind: "line",
      name: "over all speeds",
      tone: "new",
      points: [from, to].map((x) => ({ x, y: show(pooled.effect) })),
    },
    ...(ranged.length === 0
      ? []
      : [
          {
            kind: "ranges" as const,
            name: `at one speed, ${sure} interval`,
            tone: "warm" as const,
            points: ranged,
          },
        ]),
    ...(unjudged.length === 0
      ? []
      : [
          {
            kind: "points" as const,
            name: "a reading that nothing judges",
            tone: "plain" as const,
            points: unjudged.map((point) => ({ x: rpm(point.speed), y: show(point.effect ?? 0) })),
          },
        ]),
  ];
  const span = spanWords(whole, show, unit);
  return {
    id: `${quantity.id}-effect`,
    title: `${quantity.title}: the difference, and what could have been seen`,
    words: `Over all speeds ${figure(show(pooled.effect))} ${unit}${span === null ? ", and nothing judges that number" : ` (${sure}: ${span})`}; above zero is ${quantity.upward}.${
      detectable === null
        ? ""
        : ` A true difference under ${figure(show(detectable), 2)} ${unit} would have gone unseen more often than ${percent(1 - result.power, 2)} of the time.`
    }`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: "engine speed [rpm]", scale: "linear" },
        y: { label: `after less before [${unit}]`, scale: "linear" },
        series,
        marks: [
          { axis: "y", at: 0, label: "no difference", tone: "plain" },
          ...(detectable === null
            ? []
            : [
                {
                  axis: "y" as const,
                  // On the side where the effect was found, or fell short.
                  at: show(pooled.effect < 0 ? -detectable : detectable),
                  label: `could have been seen, ${percent(result.power, 2)}`,
                  tone: "old" as const,
                },
              ]),
        ],
      },
    },
    data: [
      {
        name: "engine speed",
        text: [...result.points.map((point) => `${figure(rpm(point.speed), 4)} rpm`), "all"],
      },
      {
        name: `difference [${unit}]`,
        values: [
          ...result.points.map((point) => (point.effect === null ? Number.NaN : show(point.effect))),
          show(pooled.effect),
        ],
        digits: 4,
      },
      ...ends([...result.points.map((point) => point.estimate), whole], (one) => one, show, "interval", unit),
      {
        name: `standard uncertainty [${unit}]`,
        values: [...result.points.map((point) => point.estimate), whole].map((one) =>
          one === null ? Number.NaN : show(one.u),
        ),
        digits: 3,
      },
      {
        name: "runs, before + after",
        text: [
          ...result.points.map((point) => `${point.runs.before} + ${point.runs.after}`),
          `${result.runs.filter((run) => run.side === "before").length} + ${result.runs.filter((run) => run.side === "after").length}`,
        ],
      },
    ],
  };
}
