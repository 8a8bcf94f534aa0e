import type { TrialResult } from "../../intake/index.js";
import type { TrialOutcome } from "../../stage/index.js";
import { writeTable } from "../../text/index.js";
import { toMarkdown } from "../render-markdown.js";
import type { ResultFile } from "../result-file.js";
import { trialAccount } from "./trial-account.js";

/** Files of a trial: summary, data, and a table by engine speed for each quantity compared. */
export function trialFiles(outcome: TrialOutcome): readonly ResultFile[] {
  return [
    { name: "summary.md", text: toMarkdown(trialAccount(outcome)) },
    { name: "trial.json", text: `${JSON.stringify(outcome, null, 2)}\n` },
    ...[outcome.pressure, outcome.temperature].flatMap((result) =>
      result === null
        ? []
        : [{ name: `${result.quantity}.csv`, text: pointTable(result, outcome.units.pressure) }],
    ),
  ];
}

function pointTable(result: TrialResult, pressureUnit: string): string {
  const shown =
    result.quantity === "pressure"
      ? ({ unit: pressureUnit, dimension: "pressure difference" } as const)
      : ({ unit: "K", dimension: "temperature difference" } as const);
  const of = (pick: (point: (typeof result.points)[number]) => number | null | undefined): number[] =>
    result.points.map((point) => {
      const value = pick(point);
      return value === null || value === undefined ? Number.NaN : Number(value.toPrecision(6));
    });
  return writeTable([
    {
      name: "speed",
      unit: "rpm",
      dimension: "rotational speed",
      values: result.points.map((point) => point.speed),
    },
    { name: "before", ...shown, values: of((point) => point.before) },
    { name: "change", ...shown, values: of((point) => point.effect) },
    { name: "from", ...shown, values: of((point) => point.estimate?.from) },
    { name: "to", ...shown, values: of((point) => point.estimate?.to) },
  ]);
}
