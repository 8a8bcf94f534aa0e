import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { orderedDrive } from "@bellmouth/simulator";
import {
  type AnyDocument,
  type DocumentKind,
  decisionDocument,
  refineDocument,
  requireDocument,
  restrictionDocument,
  simulateDocument,
  swapDocument,
  trialDocument,
} from "bellmouth/document";
import {
  compareTrial,
  type DecisionResult,
  type DriveResult,
  measureRestriction,
  type PlanResult,
  planSwap,
  type RefineReport,
  type RestrictionResult,
  readResult,
  refineFromLogs,
  sumUpLog,
  type TrialOutcome,
  weighDecision,
} from "bellmouth/stage";
import { runIn } from "./run-in.js";

const examples = new URL("../../examples/", import.meta.url);

function exampleDocument<D extends AnyDocument>(kind: DocumentKind<D>, name: string): D {
  const at = new URL(name, examples);
  const open = (file: string): string => readFileSync(new URL(file, at), "utf8");
  return requireDocument([kind], readFileSync(at, "utf8"), { file: name, open }).document;
}

/** Results of the documents under examples/, made afresh. */
export const demoPlan = (): PlanResult => planSwap(exampleDocument(swapDocument, "demo/swap.yaml"));
/** A donor's meter fitted whole, in lb/min. */
export const wholeMeterPlan = (): PlanResult =>
  planSwap(exampleDocument(swapDocument, "own-units/swap.yaml"));
export const demoRestriction = (): RestrictionResult =>
  measureRestriction(exampleDocument(restrictionDocument, "restriction/restriction.yaml"));
export const demoTrial = (name: "trial" | "single-pair" = "trial"): TrialOutcome =>
  compareTrial(exampleDocument(trialDocument, `trial/${name}.yaml`));
export const demoDecision = (): DecisionResult =>
  weighDecision(exampleDocument(decisionDocument, "decision/decision.yaml"));

/** A result as it is after having been stored and read again. */
export const storedAndRead = <R extends object>(result: R): R =>
  readResult(JSON.stringify(result), "result.json") as unknown as R;

/** A refinement of a simulated drive of eight minutes. */
export function demoRefinement(): RefineReport {
  const order = `bellmouth: simulate 1
title: Eight minutes
car: birch
meter: new
seed: 31
duration: 8 min
roads: [town, pulls]
trims: closed-loop
barometer: 98.5 kPa absolute
outside: 15 degC
coolant: 85 degC
log-rate: 20 Hz
planned-error: 5 %
`;
  const files = orderedDrive(requireDocument([simulateDocument], order).document).files as {
    readonly [name: string]: string;
  };
  const log = files["drive.csv"] as string;
  const source = `bellmouth: refine 1
title: Correction from a drive
table: { file: table.csv, signal: voltage, uncertainty: 5 % }
outside: extend
logs: [drive.csv]
`;
  const { document } = requireDocument([refineDocument], source, { open: (name) => files[name] ?? "" });
  return refineFromLogs(document, [sumUpLog(document, "new", "drive.csv", log, log)]);
}

/** What `simulate` says of a drive of three minutes. */
export async function demoDrive(): Promise<DriveResult> {
  const folder = mkdtempSync(join(tmpdir(), "bellmouth-drive-"));
  try {
    const order = readFileSync(new URL("simulate/first-drive.yaml", examples), "utf8");
    writeFileSync(join(folder, "drive.yaml"), order.replace("25 min", "3 min"));
    const { code, stdout } = await runIn(folder, ["simulate", "drive.yaml", "--json"]);
    if (code !== 0) throw new Error(`simulate ended with ${code}`);
    return JSON.parse(stdout) as DriveResult;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
