import type { TrialOutcome } from "../../stage/index.js";
import { figure } from "../../text/index.js";
import type { Figure, XY } from "../picture.js";
import { spanWords } from "../spans.js";
import { type Compared, quantityOf } from "./quantity.js";

/** Mean of a run over the points that count, or null where it misses one: means over other speeds would not compare. */
function meanOf(run: Compared["runs"][number], points: readonly number[]): number | null {
  const values = points.map((i) => run.values[i] ?? null);
  if (values.length === 0 || values.some((value) => value === null)) return null;
  return values.reduce<number>((sum, value) => sum + (value ?? 0), 0) / values.length;
}

/** The runs in the order they were driven: how well they repeat, and whether everything drifted. */
export function orderFigure(result: Compared, outcome: TrialOutcome): Figure {
  const quantity = quantityOf(result, outcome);
  const { show, unit } = quantity;
  const means = result.runs.map((run) => meanOf(run, result.pooledPoints));
  const minutes = result.runs.map((run) => run.at / 60);
  const of = (side: "before" | "after"): XY[] =>
    result.runs.flatMap((run, i) => {
      const mean = means[i] ?? null;
      return run.side !== side || mean === null ? [] : [{ x: minutes[i] ?? 0, y: show(mean) }];
    });
  const drift = result.drift;
  const span = spanWords(drift, show, unit);
  const single = result.flags.includes("single pair");
  return {
    id: `${quantity.id}-order`,
    title: `${quantity.title}: the runs in their order`,
    words: single
      ? "One run a side: how well a run repeats, whether the car or the weather drifted between the two, and whether the difference is chance cannot be known from them."
      : `${result.runSd === null ? "How well a run repeats is not known." : `One run lies about another by ${figure(show(result.runSd), 2)} ${unit} (standard deviation).`}${
          drift === null
            ? ""
            : ` Both sides drifted by ${figure(show(drift.value), 2)} ${unit} an hour${span === null ? "" : ` (${span})`}.`
        } Order: ${result.runs.map((run) => run.side).join(", ")}.`,
    picture: {
      kind: "chart",
      spec: {
        x: { label: "minutes from the first run", scale: "linear" },
        y: { label: `mean, ${quantity.levelName} [${unit}]`, scale: "linear" },
        series: [
          { kind: "points", name: "before", tone: "old", points: of("before") },
          { kind: "points", name: "after", tone: "new", points: of("after") },
        ],
      },
    },
    data: [
      { name: "run", text: result.runs.map((run) => run.id) },
      { name: "side", text: result.runs.map((run) => run.side) },
      { name: "begun [min]", values: minutes, digits: 4 },
      {
        name: `mean [${unit}]`,
        values: means.map((mean) => (mean === null ? Number.NaN : show(mean))),
        digits: 4,
      },
    ],
  };
}
