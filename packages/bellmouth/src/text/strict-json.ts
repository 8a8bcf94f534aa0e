import { BellmouthError, type FaultPlace } from "../fault/index.js";
import { shown } from "./nearest.js";

/** What YAML takes and JSON does not (comments, bare words) is a mistake in a file called .json. */
export function jsonFault(text: string, at: (offset: number) => FaultPlace): BellmouthError | undefined {
  if (jsonMistake(text) === undefined) return undefined;
  // Engines word their messages differently and not all say where; but every one knows an end that came too early
  // from a wrong character, so the longest good start is found by halving.
  let good = 0;
  let bad = text.length;
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (jsonMistake(text.slice(0, middle)) === "wrong") bad = middle;
    else good = middle;
  }
  return new BellmouthError({
    code: "E_SYNTAX",
    message: "this is not JSON, as the file's name says it is",
    found:
      jsonMistake(text) === "cut short"
        ? "an end before everything is closed"
        : `'${shown(text.slice(good, good + 20))}'`,
    accepted: "JSON, or YAML in a file called .yaml",
    at: at(jsonMistake(text) === "cut short" ? text.length : good),
  });
}

function jsonMistake(text: string): "wrong" | "cut short" | undefined {
  try {
    JSON.parse(text);
    return undefined;
  } catch (error) {
    const message = error instanceof Error ? error.message : "";
    const position = /position (\d+)/u.exec(message)?.[1];
    if (position !== undefined && Number(position) >= text.length) return "cut short";
    return /unexpected end|unterminated|no number after minus|unterminated fractional|exponent part/iu.test(
      message,
    )
      ? "cut short"
      : "wrong";
  }
}
