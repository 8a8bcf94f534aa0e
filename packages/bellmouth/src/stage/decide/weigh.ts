import type { DecisionDocument } from "../../document/index.js";
import { decide } from "../../intake/index.js";
import type { DecisionResult } from "./result.js";

/**
 * Weighs changes from a document.
 *
 * @param document as `readDocument` gives it
 * @throws faults of `decide`
 */
export function weighDecision(document: DecisionDocument): DecisionResult {
  return {
    bellmouth: "decision 1",
    title: document.title,
    units: document.units,
    table: decide(document.options, document.currency, document.together),
  };
}
