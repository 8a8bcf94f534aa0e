/** How much a finding weighs: danger forbids use, caution asks for a decision, a note is for reading. */
export type FindingLevel = "note" | "caution" | "danger";

/** What may be done with a table: used for a first start, used after a decision, not used. */
export type VerdictLevel = "ready" | "decision needed" | "do not use";

/** The one rule from findings to verdict: danger is "do not use", caution is "decision needed", and nothing else is. */
export function verdictLevel(findings: readonly { readonly level: FindingLevel }[]): VerdictLevel {
  if (findings.some(({ level }) => level === "danger")) return "do not use";
  return findings.some(({ level }) => level === "caution") ? "decision needed" : "ready";
}

/** The verdict in words, as every screen says it. */
export const VERDICT_WORDS: { readonly [level in VerdictLevel]: string } = {
  ready: "Ready for a first start",
  "decision needed": "Decision needed",
  "do not use": "Do not use",
};

const ORDER: { readonly [level in FindingLevel]: number } = { danger: 0, caution: 1, note: 2 };

/** Findings in the order in which they are told; equal ones keep theirs. */
export const worstFirst = <F extends { readonly level: FindingLevel }>(findings: readonly F[]): F[] =>
  [...findings].sort((a, b) => ORDER[a.level] - ORDER[b.level]);
