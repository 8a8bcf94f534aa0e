/** Edit distance with neighbouring letters swapped counted as one (optimal string alignment). */
export function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const cost = a[i - 1] === b[j - 1] ? 0 : 1;
      let best = Math.min((row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1, (row[j - 1] ?? 0) + cost);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        best = Math.min(best, (before[j - 2] ?? 0) + 1);
      }
      next.push(best);
    }
    before = row;
    row = next;
  }
  return row[b.length] ?? 0;
}

/**
 * The candidate a person most likely meant, or `undefined` when none is near: another case first, then at most one
 * slip in three letters. Used for every "did you mean".
 *
 * @example
 * nearest("hosing", ["housing", "signal"]) // => "housing"
 */
export function nearest(word: string, candidates: readonly string[]): string | undefined {
  // A hostile key may be megabytes long; nothing we know is near it.
  if (word.length > 60) return undefined;
  const lower = word.toLowerCase();
  const sameLetters = candidates.find((candidate) => candidate.toLowerCase() === lower);
  if (sameLetters !== undefined) return sameLetters;
  let best: string | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const candidate of candidates) {
    const distance = editDistance(lower, candidate.toLowerCase());
    if (distance < least && distance <= Math.max(1, Math.floor(candidate.length / 3))) {
      best = candidate;
      least = distance;
    }
  }
  return best;
}

/** `; did you mean X?`, or nothing when no candidate is near. */
export function didYouMean(word: string, candidates: readonly string[]): string {
  const near = nearest(word, candidates);
  return near === undefined || near === word ? "" : `; did you mean '${near}'?`;
}

/** Text of a user as it may stand in a message: one line, control characters shown, at most `limit` characters. */
export function shown(text: string, limit = 60): string {
  const cut = text.length > limit ? `${text.slice(0, limit)}…` : text;
  let safe = "";
  for (const character of cut) {
    const code = character.codePointAt(0) ?? 0;
    // Control characters and direction marks could rewrite what a terminal shows of the message.
    const hidden =
      code < 0x20 ||
      (code >= 0x7f && code < 0xa0) ||
      (code >= 0x200b && code <= 0x200f) ||
      (code >= 0x2028 && code <= 0x202e) ||
      (code >= 0x2066 && code <= 0x2069) ||
      code === 0xfeff ||
      (code >= 0xd800 && code <= 0xdfff);
    safe += hidden ? `\\u{${code.toString(16)}}` : character;
  }
  return safe;
}
