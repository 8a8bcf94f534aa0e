import type { Tone } from "./picture.js";

const TONES: readonly Tone[] = ["a", "b", "c", "d", "e", "f", "old", "plain"];

/** Colour of the nth of several that have no meaning of their own. */
export const toneOf = (n: number): Tone => TONES[n % TONES.length] ?? "plain";
