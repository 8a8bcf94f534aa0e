import type * as z from "zod";
import { BellmouthError } from "../../fault/index.js";
import { pathText, shown } from "../../text/index.js";
import { type DecisionResult, decisionResult } from "../decide/result.js";
import { type PlanResult, planResult } from "../plan/result.js";
import { type RefineReport, refineReport } from "../refine/result.js";
import { type RestrictionResult, restrictionResult } from "../restriction/result.js";
import { type DriveResult, driveResult } from "../simulate/drive-result.js";
import { type TrialOutcome, trialResult } from "../trial/result.js";
import { type VerifyResult, verifyResult } from "../verify/result.js";

/** Any result that is looked at; its `bellmouth` field says which. */
export type AnyResult =
  | PlanResult
  | RestrictionResult
  | TrialOutcome
  | DecisionResult
  | RefineReport
  | DriveResult
  | VerifyResult;

type Kind = AnyResult["bellmouth"];

const SCHEMAS: { readonly [kind in Kind]: () => z.ZodType } = {
  "plan 1": planResult,
  "restriction 1": restrictionResult,
  "trial 1": trialResult,
  "decision 1": decisionResult,
  "refine 1": refineReport,
  "drive 1": driveResult,
  "verify 1": verifyResult,
};

/** Kinds of results, and the file that holds each. */
export const RESULT_KINDS: { readonly [kind in Kind]: string } = {
  "plan 1": "plan.json",
  "restriction 1": "restriction.json",
  "trial 1": "trial.json",
  "decision 1": "decision.json",
  "refine 1": "refine.json",
  "drive 1": "drive.json",
  "verify 1": "verify.json",
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
  const read = SCHEMAS[kind]().safeParse(data);
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
    ? (Object.keys(SCHEMAS) as Kind[]).find((kind) => kind === data["bellmouth"])
    : undefined;
