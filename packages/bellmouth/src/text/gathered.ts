import { BellmouthError, isFault } from "../fault/index.js";

/**
 * One fault for many: the first one's code and place, all their messages, the list as `cause`. Of an empty list it makes
 * an `E_SCHEMA`. Returned, not thrown.
 */
export function gathered(faults: readonly BellmouthError[]): BellmouthError {
  const [first] = faults;
  if (first === undefined) return new BellmouthError({ code: "E_SCHEMA", message: "no mistake was given" });
  if (faults.length === 1) return first;
  const error = new BellmouthError({
    code: first.code,
    message: `${faults.length} mistakes:\n${faults.map((fault) => `  ${fault.message}`).join("\n")}\n`,
    ...(first.at === undefined ? {} : { at: first.at }),
  });
  return Object.assign(error, { cause: faults });
}

/** The faults inside a gathered one, or the fault itself. */
export function separateFaults(error: BellmouthError): readonly BellmouthError[] {
  const { cause } = error;
  return Array.isArray(cause) && cause.every((one) => isFault(one)) ? cause : [error];
}
