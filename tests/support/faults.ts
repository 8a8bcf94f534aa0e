import { type BellmouthError, isFault } from "bellmouth";
import { separateFaults } from "bellmouth/text";
import { expect } from "vitest";

/** What a call throws: every fault, and never anything but faults. */
export function faultsOf(call: () => unknown): readonly BellmouthError[] {
  try {
    call();
  } catch (error) {
    if (isFault(error)) return separateFaults(error);
    throw error;
  }
  throw new Error("nothing was thrown");
}

/** Checks the one fault a call throws: code, place as `line:column`, and words of its message. */
export function expectFault(call: () => unknown, code: string, place: string, words: string | RegExp): void {
  const [fault, ...more] = faultsOf(call);
  expect(more.map((one) => one.message)).toEqual([]);
  expect(fault?.code).toBe(code);
  expect(`${fault?.at?.line}:${fault?.at?.column}`).toBe(place);
  expect(fault?.message).toMatch(words);
}
