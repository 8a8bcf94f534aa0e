/** Text of the user as it may stand in a message: one line, no control characters, not endless. */
export function plain(text: string, limit = 80): string {
  const cut = text.length > limit ? `${text.slice(0, limit)}…` : text;
  return cut.replace(
    /[\p{Cc}\p{Cf}\p{Cs}\u2028\u2029]/gu,
    (hidden) => `\\u{${hidden.codePointAt(0)?.toString(16)}}`,
  );
}

/** JSON as it may be shown: what would steer a terminal or turn the reading direction is escaped, the value is the same. */
export function shownJson(data: unknown): string {
  const text = JSON.stringify(data, null, 2).replace(/[^\P{Cc}\n]|[\p{Cf}\u2028\u2029]/gu, (hidden) =>
    Array.from(
      { length: hidden.length },
      (_, i) => `\\u${hidden.charCodeAt(i).toString(16).padStart(4, "0")}`,
    ).join(""),
  );
  return `${text}\n`;
}

/**
 * The known word nearest to a mistyped one. Simpler than the documents' own search, which is not loaded before a
 * command is known: the same letters in another case, a start that only one has, or a slip of one or two letters.
 */
export function nearestWord(word: string, known: readonly string[]): string | undefined {
  if (word.length > 60) return undefined;
  const lower = word.toLowerCase();
  const begun = known.filter((candidate) => lower.length > 2 && candidate.startsWith(lower));
  if (begun.length === 1) return begun[0];
  let best: string | undefined;
  let least = 3;
  for (const candidate of known) {
    const distance = slips(lower, candidate);
    if (distance < least && distance <= candidate.length / 3) {
      best = candidate;
      least = distance;
    }
  }
  return best;
}

/** Letters to put in, take out or change. */
function slips(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(change, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
