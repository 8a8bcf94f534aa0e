import { BellmouthError } from "../../fault/index.js";
import { digestOf } from "./digest.js";
import { parts } from "./record-form.js";
import { knotCount } from "./reference.js";
import type { DriveEvidence, RefineSums } from "./types.js";

const isRecord = (value: unknown): value is { readonly [key: string]: unknown } =>
  typeof value === "object" && value !== null && !Array.isArray(value);
const isNumbers = (value: unknown, length: number): boolean =>
  Array.isArray(value) &&
  value.length === length &&
  value.every((one) => typeof one === "number" && Number.isFinite(one));

/** What is wrong with a drive's record; null where nothing is. */
function faultOf(record: unknown): string | null {
  if (!isRecord(record)) return "a drive that is no record";
  const { digest, matrix, vector, seconds, seen, places, filling, outside, stretches, summary } = record;
  if (!isRecord(summary) || typeof summary["name"] !== "string") return "a drive without a summary";
  const silent = Array.isArray(matrix) && matrix.length === 0 && summary["refused"] !== null;
  const { size } = parts;
  if (!silent && !(isNumbers(matrix, (size * (size + 1)) / 2) && isNumbers(vector, size)))
    return `${summary["name"]}: evidence of another size, or not of numbers`;
  if (
    !isNumbers(seconds, knotCount) ||
    !isRecord(seen) ||
    !isRecord(places) ||
    ![seen["weight"], seen["sum"], places["time"], places["speed"], places["pressure"]].every((list) =>
      isNumbers(list, knotCount),
    )
  )
    return `${summary["name"]}: times and places of another size, or not of numbers`;
  if (!isRecord(filling) || !isRecord(outside) || !Array.isArray(stretches))
    return `${summary["name"]}: without filling, outside pressure or stretches`;
  const { digest: _, ...rest } = record;
  if (digest !== digestOf(rest)) return `${summary["name"]}: numbers that its digest does not belong to`;
  return null;
}

/**
 * Saved evidence, checked: version, sizes, numbers, and each record's digest. Other key orders and other spellings of the same numbers pass.
 *
 * @throws `E_SCHEMA` on anything that is not evidence of this version
 */
export function checkSums(data: unknown): RefineSums {
  const wrong = (found: string): BellmouthError =>
    new BellmouthError({
      code: "E_SCHEMA",
      message: "this is not evidence of drives",
      found,
      accepted: "what `sumsOf`, `addDrive` or `mergeSums` gave, of version 1 and unchanged",
      at: { path: "sums" },
    });
  if (!isRecord(data) || data["kind"] !== "refine evidence")
    throw wrong(`kind ${String(isRecord(data) ? data["kind"] : data)}`);
  if (data["version"] !== 1) throw wrong(`version ${String(data["version"])}`);
  const { reference, drives } = data;
  if (
    !isRecord(reference) ||
    !isNumbers(reference["signal"], knotCount) ||
    !isNumbers(reference["flow"], knotCount)
  )
    throw wrong("a reference of another size, or not of numbers");
  if (!Array.isArray(drives)) throw wrong("no list of drives");
  for (const record of drives) {
    const fault = faultOf(record);
    if (fault !== null) throw wrong(fault);
  }
  return {
    kind: "refine evidence",
    version: 1,
    reference: reference as unknown as RefineSums["reference"],
    drives: drives as DriveEvidence[],
  };
}
