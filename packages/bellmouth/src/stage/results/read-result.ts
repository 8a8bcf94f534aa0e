import type * as z from "zod";
import { BellmouthError } from "../../fault/index.js";
import { pathText, shown } from "../../text/index.js";
import type { DecisionResult } from "../decide/index.js";
import type { PlanResult } from "../plan/index.js";
import type { RefineReport } from "../refine/index.js";
import type { RestrictionResult } from "../restriction/index.js";
import type { DriveResult } from "../simulate/index.js";
import type { TrialOutcome } from "../trial/index.js";
import { driveShape } from "./drive-shape.js";
import { decisionShape, restrictionShape, trialShape } from "./intake-shapes.js";
import { planShape } from "./plan-shape.js";
import { refineShape } from "./refine-shape.js";

/** Any result that is looked at; its `bellmouth` field says which. */
export type AnyResult =
  | PlanResult
  | RestrictionResult
  | TrialOutcome
  | DecisionResult
  | RefineReport
  | DriveResult;

type Kind = AnyResult["bellmouth"];

const SHAPES: { readonly [kind in Kind]: () => z.ZodType } = {
  "plan 1": planShape,
  "restriction 1": restrictionShape,
  "trial 1": trialShape,
  "decision 1": decisionShape,
  "refine 1": refineShape,
  "drive 1": driveShape,
};

/** Kinds of results, and the file that holds each. */
export const RESULT_KINDS: { readonly [kind in Kind]: string } = {
  "plan 1": "plan.json",
  "restriction 1": "restriction.json",
  "trial 1": "trial.json",
  "decision 1": "decision.json",
  "refine 1": "refine.json",
  "drive 1": "drive.json",
};

/**
 * A result out of the JSON that was stored of it. What pages and pictures read is checked, to the unit; what they do not
 * read is passed on as it stands.
 *
 * @param text JSON, as `--out` writes it
 * @param file name for messages
 * @throws `E_SYNTAX` when it is not JSON, `E_SCHEMA` when it is not such a result
 */
export function readResult(text: string, file: string): AnyResult {
  const data = parsed(text, file);
  const kind = kindOf(data);
  if (kind === undefined) {
    const found = isRecord(data) ? data["bellmouth"] : undefined;
    throw new BellmouthError({
      code: "E_SCHEMA",
      message: "this is not the data of a result",
      found: found === undefined ? "no field 'bellmouth'" : `'${shown(String(found))}'`,
      accepted: `one of ${Object.values(RESULT_KINDS).join(", ")}, as '--out' writes them`,
      at: { file, path: "bellmouth" },
    });
  }
  const read = SHAPES[kind]().safeParse(data);
  if (read.success) return data as AnyResult;
  const [issue] = read.error.issues;
  const path = pathText((issue?.path ?? []).map((part) => (typeof part === "symbol" ? String(part) : part)));
  throw new BellmouthError({
    code: "E_SCHEMA",
    message: `this is not the data of a ${kind.split(" ")[0]} as bellmouth writes it: it is a document, damaged, or of another version`,
    found: shown(issue?.message ?? ""),
    accepted: `the ${RESULT_KINDS[kind]} that '--out' writes`,
    at: { file, ...(path === "" ? {} : { path }) },
  });
}

function parsed(text: string, file: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "this is not JSON",
      accepted: `one of ${Object.values(RESULT_KINDS).join(", ")}, as '--out' writes them`,
      at: { file },
    });
  }
}

const isRecord = (data: unknown): data is Readonly<Record<string, unknown>> =>
  typeof data === "object" && data !== null && !Array.isArray(data);

const kindOf = (data: unknown): Kind | undefined =>
  isRecord(data) && Object.hasOwn(data, "bellmouth")
    ? (Object.keys(SHAPES) as Kind[]).find((kind) => kind === data["bellmouth"])
    : undefined;
