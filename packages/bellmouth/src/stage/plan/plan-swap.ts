import type { SwapDocument } from "../../document/index.js";
import { CAUTIONS } from "../cautions.js";
import { worstFirst } from "../verdict-level.js";
import { measuredCurve, planAirflow } from "./airflow.js";
import { ecuLimitFindings } from "./ecu-limit-findings.js";
import { planEcuLimits } from "./ecu-limits.js";
import { type PlanParts, planFindings } from "./findings.js";
import { planHeadroom } from "./headroom.js";
import { demandFindings, temperatureFindings } from "./plausibility.js";
import type { PlanResult } from "./result.js";
import { planSweep } from "./sweep.js";
import { tableFindings } from "./table-findings.js";
import { planTemperature } from "./temperature.js";
import { planKeyFigures, planVerdict } from "./verdict.js";

/**
 * Plans a housing swap: the new airflow and temperature tables with their error budgets, headroom before and after, the
 * bore sweep, and a verdict. A condition of the data (a cell past the measured ones, a demand past the table) is a
 * reason in the verdict, not an error.
 *
 * @param document a swap document as `readDocument` gives it, SI
 * @returns plain JSON-ready data in SI: flows [kg/s], signals [Hz] or [V], temperatures [K]
 * @throws faults of the rooms below for input that no table can be made from: `E_TOO_LITTLE_DATA`, `E_DOMAIN`,
 *   `E_SINGULAR`, `E_OUTSIDE`
 */
export function planSwap(document: SwapDocument): PlanResult {
  const stage = planAirflow(document);
  const present = measuredCurve(document.present.table, document.present.accuracy, document.airflow.outside);
  // The sensor answers to the air there is, whatever a rich bias tells the ECU: headroom is judged on the unbiased curve.
  const unbiased = {
    ...stage.stored,
    cells: stage.stored.cells.map((cell, i) => ({
      ...cell,
      flow: stage.plan.cells[i]?.wanted ?? cell.flow,
    })),
  };
  const headroom = planHeadroom(document, { planned: unbiased, present });
  const ecuLimits = planEcuLimits(document, unbiased, stage.plan);
  const temperature = planTemperature(document);
  const units = {
    flow: document.airflow.units.flow,
    signal: document.airflow.units.signal,
    temperature: document.temperature?.ecu.units.value ?? "degC",
  };
  const found: PlanParts = {
    airflow: stage.plan,
    temperature,
    headroom,
    inspection: stage.inspection,
    units,
  };
  const findings = worstFirst([
    ...planFindings(document, found),
    ...tableFindings(document, stage),
    ...ecuLimitFindings(document, ecuLimits, units),
    ...demandFindings(document),
    ...temperatureFindings(document, temperature),
    ...stage.findings,
  ]);
  return {
    bellmouth: "plan 1",
    title: document.title,
    signal: document.signal,
    units,
    verdict: planVerdict(document, found, findings),
    keyFigures: planKeyFigures(document, found),
    cautions: CAUTIONS,
    entry: {
      step: document.airflow.storage?.step ?? null,
      highFlowFrom: document.safety.highFlowFrom,
      richBias: document.safety.richBias,
    },
    airflow: stage.plan,
    temperature,
    headroom,
    ecuLimits,
    sweep: planSweep(document, stage),
  };
}
