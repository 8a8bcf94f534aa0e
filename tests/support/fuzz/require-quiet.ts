/** Throws when text for a person holds what would move the cursor, colour the screen or turn the reading direction. */
export function requireQuiet(text: string): void {
  const loud = /[^\P{Cc}\n]|[\p{Bidi_Control}\p{Cs}]/u.exec(text);
  if (loud === null) return;
  throw new Error(`U+${loud[0].codePointAt(0)?.toString(16)} in ${JSON.stringify(text.slice(0, 500))}`);
}
