import type { SwapDocument } from "../../document/index.js";
import { atKey } from "../../fault/index.js";
import {
  type BoreLimit,
  type BoreLimits,
  chooseBore,
  DROP_CHANCE,
  type HousingLoss,
  sweepBores,
} from "../../intake/index.js";
import { inUnit, percent } from "../../text/index.js";
import { type Area, type Length, squareMetres } from "../../units/index.js";
import type { AirflowStage } from "./airflow.js";
import { idleFlow, limitsOf, scenarioDemands, THRESHOLDS } from "./headroom.js";
import type { SweepPlan } from "./result.js";

/** The element in housings of a range of bores, and the smallest that meets the document's limits. */
export function planSweep(document: SwapDocument, stage: AirflowStage): SweepPlan | null {
  const { sweep, next, loss } = document;
  if (sweep === undefined || next.housing.section.shape !== "round") return null;
  const idle = idleFlow(document);
  const resolution = document.airflow.capture?.resolution;
  const swept = atKey("sweep", () =>
    sweepBores(
      {
        curve: stage.source,
        from: stage.sourceHousing,
        to: next.housing,
        elsewhere: next.source === "donor",
        air: document.air,
        limits: limitsOf(document, "next"),
        demands: sweptDemands(document),
        thresholds: THRESHOLDS,
        // Without a known resolution idle's place is still told; any step serves to find it.
        ...(idle === undefined
          ? {}
          : { idle: { flow: idle, resolution: resolution ?? { kind: "step", step: 1e-6 } } }),
        ...(loss === undefined ? {} : { loss: lossOf(document, loss) }),
      },
      sweep.bores,
    ),
  );
  const { limits, told } = judgedLimits(document, idle !== undefined);
  const choice = told.length === 0 ? null : chooseBore(swept, limits);
  const rows = swept.map((row, i) => ({
    bore: row.bore,
    flowRatio: row.flowRatio,
    scenarios: row.scenarios.map(({ share, chanceOver }) => ({ share, chanceOver })),
    idleStepShare: resolution === undefined ? null : (row.idle?.stepShare ?? null),
    idleSignal: row.idle?.signal ?? null,
    idleReynolds: row.idle?.reynolds ?? null,
    drop: row.drop,
    mach: row.mach,
    meets: choice?.judged[i]?.meets ?? true,
    fails: (choice?.judged[i]?.fails ?? []).map(({ limit }) => FAILS[limit]),
  }));
  const chosen = choice?.bore ?? null;
  return {
    rows,
    chosen,
    limits: told,
    sentence: `${
      choice === null
        ? "No limits were given to choose a bore by; the table shows what each costs and brings."
        : chosen === null
          ? `No bore of the sweep meets all limits (${told.join("; ")}).`
          : `The smallest bore of the sweep that meets all limits (${told.join("; ")}) is ${inUnit(chosen, "mm", "length")}.`
    }${formatEnds(swept)}`,
  };
}

/** Demands with the air of their days: the flow and the drop that it makes belong to one air. */
const sweptDemands = (document: SwapDocument) =>
  scenarioDemands(document).map((demand, i) => {
    const scenario = document.scenarios[i];
    return scenario?.kind === "engine" ? { ...demand, air: scenario.day } : demand;
  });

/** Says from which bore on the number format ends the table before the signal does: why shares stop falling there. */
function formatEnds(
  swept: readonly { readonly bore: number; readonly usable: { readonly limitedBy: string } }[],
): string {
  const before = swept.findLastIndex(({ usable }) => usable.limitedBy !== "storage");
  const from = swept[before + 1];
  if (from === undefined) return "";
  return ` From ${inUnit(from.bore, "mm", "length")} on the number format holds no larger flow, so a larger bore leaves no more room.`;
}

const FAILS: { readonly [limit in BoreLimit]: string } = {
  probabilityBelow: "too likely to run past",
  shareBelow: "uses too much of the signal",
  dropBelow: "costs too much pressure",
  idleResolutionBelow: "too coarse at idle",
  idleSignalAbove: "idle signal too low",
};

/** The limits that the document gives enough to judge, in both forms. */
function judgedLimits(
  document: SwapDocument,
  idle: boolean,
): { readonly limits: BoreLimits; readonly told: readonly string[] } {
  const { share, drop, idleSignal } = document.sweep?.limits ?? {};
  const told: string[] = [];
  const limits: { -readonly [limit in BoreLimit]?: BoreLimits[limit] } = {};
  if (share !== undefined) {
    limits.shareBelow = share;
    told.push(`at most ${percent(share)} of the usable signal`);
  }
  if (drop !== undefined && document.loss !== undefined) {
    limits.dropBelow = drop;
    told.push(
      `a drop below ${inUnit(drop, "Pa", "pressure difference")} (chance of more at most ${percent(DROP_CHANCE)})`,
    );
  }
  if (idleSignal !== undefined && idle) {
    limits.idleSignalAbove = idleSignal;
    told.push(`idle above ${inUnit(idleSignal, document.airflow.units.signal, document.signal)}`);
  }
  return { limits: limits as BoreLimits, told };
}

/** A measured drop belongs to the housing it was measured over, the present one. */
function lossOf(document: SwapDocument, loss: NonNullable<SwapDocument["loss"]>): HousingLoss {
  const { ducts: bores, ...own } = loss;
  const ducts =
    bores === undefined ? {} : { ducts: { before: roundArea(bores.before), after: roundArea(bores.after) } };
  return own.kind === "coefficient"
    ? { ...own, ...ducts }
    : { ...own, ...ducts, housing: document.present.housing };
}

const roundArea = (bore: Length): Area => squareMetres((Math.PI / 4) * bore ** 2);
