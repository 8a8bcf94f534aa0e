import { describe, expect, it } from "vitest";
import { DOCUMENT_KINDS, readDocument } from "./index.js";

const faultsOf = (text: string): readonly string[] => {
  const result = readDocument(DOCUMENT_KINDS, text, { file: "job.yaml" });
  return result.ok ? [] : result.faults.map((fault) => fault.message);
};

describe("documents of an earlier spelling", () => {
  it.each([
    [
      "a key",
      "bellmouth: refine 1\ntitle: x\ntable: { plan: plan.json }\noutside: hold\nlogs: [a.csv]\nold-meter: {}\n",
      "job.yaml:6:1: old-meter: 'old-meter' is not a key of this block: it is called 'present-meter' now",
    ],
    [
      "a key of a block in a list",
      "bellmouth: decision 1\ntitle: x\ncurrency: EUR\noptions:\n  - { name: a, parts: 1, work: [], room: {} }\n",
      "'room' is not a key of this block: it is called 'headroom' now",
    ],
    [
      "a word",
      "bellmouth: simulate 1\ntitle: x\ncar: alder\nmeter: old\n",
      "job.yaml:4:8: meter: not what belongs here: 'present' says it now (found 'old'; accepted: 'present' or 'new')",
    ],
  ])("are told the new word: %s", (_, text, message) => {
    expect(faultsOf(text).join("\n")).toContain(message);
  });

  it("are told nothing of a word where it never stood", () => {
    expect(faultsOf("bellmouth: trial 1\ntitle: x\nroom: 3\n").join("\n")).not.toContain("headroom");
  });
});
