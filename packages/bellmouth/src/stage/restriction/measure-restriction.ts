import type { RestrictionDocument } from "../../document/index.js";
import { BellmouthError, faultDetails } from "../../fault/index.js";
import {
  lossDrops,
  meterHousing,
  predictChange,
  type RestrictionBudget,
  type RestrictionFlag,
  restrictionBudget,
  restrictionVerdict,
  type TractPrediction,
} from "../../intake/index.js";
import { percent, unitScale } from "../../text/index.js";
import { kilogramsPerCubicMetre, kilogramsPerSecond } from "../../units/index.js";
import { CAUTIONS } from "../cautions.js";
import type { Finding, KeyFigure } from "../result-parts.js";
import type { RestrictionResult } from "./result.js";

const STEPS = 24;

/**
 * Makes a restriction budget from a document.
 *
 * @param document as `readDocument` gives it, SI
 * @returns plain JSON-ready data in SI
 * @throws faults of `restrictionBudget` and `predictChange`
 */
export function measureRestriction(document: RestrictionDocument): RestrictionResult {
  const budget = namedByReading(document, () =>
    restrictionBudget(document.tract, document.points, document.air, document.options),
  );
  // Nothing is predicted from a tract whose drop is not there.
  const told = !budget.flags.includes("total not distinguishable from zero");
  const changes = told
    ? document.changes.map((change) => predictChange(budget, change, { flow: document.engineFlow }))
    : [];
  const { text } = restrictionVerdict(budget);
  return {
    bellmouth: "restriction 1",
    title: document.title,
    units: document.units,
    verdict: {
      sentence: `${text.slice(0, 1).toUpperCase()}${text.slice(1)}.`,
      findings: findingsOf(document, budget),
    },
    keyFigures: keyFiguresOf(document, budget, changes),
    cautions: CAUTIONS,
    budget,
    changes,
    byFlow: dropsByFlow(budget),
  };
}

/** A fault of a point says which reading it is: the table's row, counted with its header, and its column. */
function namedByReading<T>({ tract }: RestrictionDocument, make: () => T): T {
  try {
    return make();
  } catch (error) {
    if (!(error instanceof BellmouthError)) throw error;
    const at = /^points\[(\d+)\](?:\.drops\[(\d+)\])?/u.exec(error.at?.path ?? "");
    if (at === null) throw error;
    const station = at[2] === undefined ? undefined : tract.elements[Number(at[2])]?.name;
    throw new BellmouthError({
      ...faultDetails(error),
      at: { path: `readings, row ${Number(at[1]) + 2}${station === undefined ? "" : `, "${station}"`}` },
    });
  }
}

function dropsByFlow(budget: RestrictionBudget): RestrictionResult["byFlow"] {
  const flow = Array.from({ length: STEPS }, (_, i) => (budget.peak * (i + 1)) / STEPS);
  const drops = flow.map((one) =>
    lossDrops(
      budget.elements.map((element) => element.loss),
      {
        flow: kilogramsPerSecond(one),
        density: kilogramsPerCubicMetre(budget.density),
        pressure: budget.air.pressure,
      },
    ),
  );
  return { flow, drops: budget.elements.map((_, j) => drops.map((row) => row[j] as number)) };
}

function keyFiguresOf(
  document: RestrictionDocument,
  budget: RestrictionBudget,
  changes: readonly TractPrediction[],
): KeyFigure[] {
  const { unit, factor } = unitScale(document.units.pressure, "pressure difference");
  const pressure = (value: number | null): number | null => (value === null ? null : value / factor);
  const meter = meterHousing(budget);
  const [first] = changes;
  return [
    {
      name: "Whole tract",
      value: budget.total.value / factor,
      low: pressure(budget.total.from),
      high: pressure(budget.total.to),
      unit,
      meaning: "drop of total pressure from the outside air to the last station at peak flow",
    },
    ...(meter === undefined
      ? []
      : [
          {
            name: "Meter housing",
            value: 100 * meter.share.value,
            low: 100 * (meter.share.from ?? 0),
            high: 100 * (meter.share.to ?? 1),
            unit: "%",
            meaning: "its share of that drop",
          },
        ]),
    ...(first === undefined
      ? []
      : [
          {
            name:
              first.change.change === "remove"
                ? `Without ${first.change.element}`
                : `Larger ${first.change.element}`,
            value: first.rise.value / factor,
            low: pressure(first.rise.from),
            high: pressure(first.rise.to),
            unit,
            meaning: "predicted rise of pressure at the end of the tract at the same engine speed",
          },
        ]),
  ];
}

const WORDS: { readonly [flag in RestrictionFlag]: readonly [Finding["level"], string] } = {
  "few points": [
    "caution",
    "There are few points, so the intervals are wide: more flows would narrow them more than a better gauge.",
  ],
  "peak beyond data": [
    "caution",
    "The peak flow lies above the highest flow measured: shares there are an extrapolation.",
  ],
  "pulls differ": [
    "caution",
    "Whole pulls lie high or low together, by more than their points' scatter explains: the intervals are too narrow. Set 'independent: pulls'.",
  ],
  "gauge step decides": [
    "note",
    "The gauge's step, not noise, makes most of the doubt: a finer gauge would help.",
  ],
  "gauges unstated": [
    "note",
    "No errors of the gauges were stated: the intervals hold for the scatter of the readings only. One gauge's scale cancels in the shares; its zero does not, nor do two gauges' scales.",
  ],
  "scatter above stated": [
    "caution",
    "The readings scatter by more than the stated uncertainty of a reading: the intervals are too narrow.",
  ],
  "total not distinguishable from zero": [
    "caution",
    "The drop of the whole tract is not distinguishable from zero: no share can be stated, and no change is predicted.",
  ],
};

function findingsOf(document: RestrictionDocument, budget: RestrictionBudget): Finding[] {
  const findings: Finding[] = budget.flags.map((flag) => ({
    level: WORDS[flag][0],
    code: flag.replaceAll(" ", "-"),
    text: WORDS[flag][1],
  }));
  if (document.flows === "reckoned") {
    findings.push({
      level: "note",
      code: "flows-reckoned",
      text: "Flows were reckoned from engine speed: shares do not mind, but K and the predicted pressures rest on the volumetric efficiency given.",
    });
  }
  findings.push(...risesAlong(document));
  if (document.filling !== null && document.filling > MOST_FILLING) {
    findings.push({
      level: "caution",
      code: "boost-not-stated",
      text: `The highest flow is ${percent(document.filling, 3)} of what the engine draws from the outside air without boost: it is boosted, or displacement, strokes, speed or flow are wrong. If it is boosted, give 'engine: manifold-pressure' and 'charge-temperature': until then changes are predicted as for an engine without boost.`,
    });
  }
  if (document.engineFlow === "held" && document.changes.length > 0) {
    findings.push({
      level: "note",
      code: "boost-holds-flow",
      text: "The manifold is boosted: changes are predicted at the same flow, as a boost control holds it, and what a change gains is pressure before the compressor.",
    });
  }
  for (const { change, element, left } of document.changes.map((one) => ({ left: undefined, ...one }))) {
    if (change === "remove" && left === undefined) {
      findings.push({
        level: "caution",
        code: "nothing-left",
        text: `Without "${element}" no loss at all was counted in its place, as the document says: a bare inlet still loses about half a dynamic head.`,
      });
    }
  }
  for (const element of budget.elements) {
    if (element.flags.includes("at bound") && element.drop.value === 0) {
      findings.push({
        level: "note",
        code: "element-at-bound",
        text: `The readings would give "${element.name}" a loss below zero; it is held at zero, and its interval says how much it may be.`,
      });
    }
    if (element.flags.includes("not distinguishable from zero")) {
      findings.push({
        level: "note",
        code: "element-not-distinguishable-from-zero",
        text: `The drop of "${element.name}" is not distinguishable from zero.`,
      });
    }
    if (element.flags.includes("fast")) {
      findings.push({
        level: "caution",
        code: "element-fast",
        text: `In "${element.name}" the air is faster than Mach 0.3 at peak: its loss grows faster than the law says.`,
      });
    }
  }
  return findings;
}

/** Highest filling of an engine without boost, by tuned pipes [1]. Common practice, no source. */
const MOST_FILLING = 1.2;

/** Least fall of a drop from one station to the next that noise and a gauge's zero do not explain, as a share of the drop [1]. */
const FALLS_BACK = 0.1;

/**
 * Pressure that rises from one station to the next: no passive part does that. Behind a static tapping it may seem so,
 * because the stream's own head comes back; there only a rise of half the reading counts.
 */
function risesAlong({ tract, points, units }: RestrictionDocument): Finding[] {
  const { factor } = unitScale(units.pressure, "pressure difference");
  return tract.elements.flatMap((element, s): Finding[] => {
    const before = tract.elements[s - 1];
    if (before === undefined) return [];
    const both = points.filter(({ drops }) => Number.isFinite(drops[s - 1]) && Number.isFinite(drops[s]));
    if (both.length === 0) return [];
    const mean = (at: number): number =>
      both.reduce((sum, { drops }) => sum + (drops[at] as number), 0) / both.length;
    const [first, second] = [mean(s - 1), mean(s)];
    if (!(first - second > (before.end.reads === "static" ? 0.5 : FALLS_BACK) * first)) return [];
    return [
      {
        level: "caution",
        code: "pressure-rises",
        text: `The air after "${element.name}" reads a higher pressure than after "${before.name}", by ${Number(((first - second) / factor).toPrecision(2))} ${units.pressure} on the mean: no part gives pressure back. Look for a column in another unit, hoses that are swapped, or a tapping that reads static where total was said.`,
      },
    ];
  });
}
