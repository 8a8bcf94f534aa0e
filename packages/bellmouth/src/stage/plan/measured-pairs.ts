import type { SwapDocument } from "../../document/index.js";
import { at } from "../../fault/index.js";
import {
  type FlowReference,
  type Housing,
  type JoinedTransfer,
  joinMeasured,
  type Rescaled,
} from "../../sensor/index.js";
import { chance, inUnit, percent } from "../../text/index.js";
import type { Finding } from "../result-parts.js";

/** The rescaled curve with what was measured of it, and what there is to say of that. */
export interface WithPairs {
  readonly rescaled: Rescaled;
  readonly findings: readonly Finding[];
}

/** Chance below which pairs and prediction are said not to agree (chosen: one job in a thousand). */
const NOT_BY_CHANCE = 1e-3;

/** Joins the document's measured pairs, if it has any, with the rescaled curve. */
export function withMeasuredPairs(document: SwapDocument, rescaled: Rescaled, from: Housing): WithPairs {
  const { transfer, next, present } = document;
  if (transfer === undefined) return { rescaled, findings: [] };
  const reference: FlowReference =
    transfer.reference === "present table"
      ? {
          kind: "table",
          u: present.accuracy,
          sameTable: next.source === "same-element",
          ratio: rescaled.areaRatio,
        }
      : { kind: "standard", u: transfer.reference };
  const joined = joinMeasured(rescaled.curve, {
    pairs: transfer.pairs,
    reference,
    ...(transfer.betweenDays === undefined ? {} : { betweenDays: transfer.betweenDays }),
    ...(transfer.where === "car" ? {} : { elsewhere: { from, to: next.housing } }),
  });
  const cells = rescaled.cells.map((note, i) => {
    const [before, now] = [at(rescaled.curve.cells, i).flow, at(joined.curve.cells, i).flow];
    const by = before > 0 ? now / before : 1;
    return { ...note, factor: note.factor * by, overAreaOnly: note.overAreaOnly * by };
  });
  return { rescaled: { ...rescaled, curve: joined.curve, cells }, findings: told(document, joined) };
}

function told(document: SwapDocument, joined: JoinedTransfer): readonly Finding[] {
  const { transfer, signal } = document;
  if (transfer === undefined) return [];
  const { pairs, beyond, where } = transfer;
  const worst = joined.offBy.reduce(
    (k, off, i) => (Math.abs(off) > Math.abs(at(joined.offBy, k)) ? i : k),
    0,
  );
  const worstAt = inUnit(at(pairs, worst).signal, document.airflow.units.signal, signal);
  const days = `${joined.days === 1 ? "one day" : `${joined.days} days`}, with ${percent(joined.betweenDays, 2)} from day to day`;
  const elsewhere =
    where === "car" ? "" : " What stands ahead in the car, no bench has seen; it stays in the uncertainty.";
  const findings: Finding[] = [
    note(
      "measured-pairs",
      `${pairs.length} measured pairs of ${days}, are joined with the law's prediction.${elsewhere}`,
    ),
  ];
  if (joined.chance < NOT_BY_CHANCE) {
    findings.push({
      level: "caution",
      code: "pairs-against-law",
      text: `The measured pairs and the law's prediction lie further apart than their uncertainties explain (${chance(joined.chance)}), most at ${worstAt}: one of them, a bore, the run, the table or the reference, is wrong.`,
      cells: [],
    });
  }
  if (beyond.length > 0) {
    findings.push(
      note("beyond-standard", `Readings break limits of the nozzle's standard: ${beyond.join("; ")}.`),
    );
  }
  return findings;
}

const note = (code: string, text: string): Finding => ({ level: "note", code, text, cells: [] });
