/** Keys of earlier documents, and what says it now. One table; `issue-faults.ts` tells whoever still writes them. */
const FORMER_KEYS: { readonly [key: string]: { readonly now: string; readonly hint?: string } } = {
  "old-meter": { now: "present-meter" },
  room: { now: "headroom" },
  development: { now: "run", hint: "run, upstream and step say now what the flow is like" },
};

/** Words that a key took in earlier documents. */
const FORMER_VALUES: { readonly [word: string]: string } = {
  old: "present",
};

/**
 * What a key of an earlier document is called now, when the block knows that key.
 *
 * @param key   as written
 * @param known keys of the block
 */
export function keyNow(
  key: string,
  known: readonly string[],
): { readonly now: string; readonly sentence: string } | undefined {
  const former = Object.hasOwn(FORMER_KEYS, key) ? FORMER_KEYS[key] : undefined;
  if (former === undefined || !known.includes(former.now)) return undefined;
  return { now: former.now, sentence: former.hint ?? `it is called '${former.now}' now` };
}

/** What a word of an earlier document is now, when it is one of those accepted. */
export const wordNow = (word: string, accepted: readonly string[]): string | undefined => {
  const now = Object.hasOwn(FORMER_VALUES, word) ? FORMER_VALUES[word] : undefined;
  return now !== undefined && accepted.includes(now) ? now : undefined;
};
