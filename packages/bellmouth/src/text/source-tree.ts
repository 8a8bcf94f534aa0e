import { type Document, LineCounter, parseAllDocuments } from "yaml";
import { BellmouthError, type FaultDetails, type FaultPlace } from "../fault/index.js";
import { shown } from "./nearest.js";
import { DEEPEST, LARGEST_DOCUMENT, MOST_VALUES, type SourceTree } from "./source-place.js";
import { jsonFault } from "./strict-json.js";
import { plainValues } from "./yaml-values.js";

/** Mistakes of notation are told up to this number. */
const MOST_SYNTAX_FAULTS = 20;

/**
 * Reads YAML 1.2 or JSON (which is YAML, and must be strict JSON when the file is called .json) into plain data with
 * the place of every value. Tags, repeated keys, keys that are no text, several documents in one file, numbers
 * that are not decimal and finite, and documents that unfold beyond 20,000 values are mistakes.
 *
 * @param text document without byte order mark
 * @returns the tree, or every mistake found: `E_SYNTAX` what is not the notation, `E_SCHEMA` what documents do not use,
 *   `E_TOO_LARGE` what is too long, too deep or unfolds too far; none is thrown
 */
export function parseSource(
  text: string,
  options: { readonly file?: string } = {},
): { readonly tree: SourceTree } | { readonly faults: readonly BellmouthError[] } {
  const { file } = options;
  const named = file === undefined ? {} : { file };
  const lines = new LineCounter();
  const at = (offset: number): FaultPlace => {
    const { line, col } = lines.linePos(offset);
    return { ...named, line: Math.max(1, line), column: Math.max(1, col) };
  };
  const documents = tooLarge(text, named) ?? parsed(text, lines, named, at);
  if (documents instanceof BellmouthError) return { faults: [documents] };
  const faults = syntaxFaults(documents, at);
  if (faults.length === 0 && file?.toLowerCase().endsWith(".json") === true) {
    const strict = jsonFault(text, at);
    if (strict !== undefined) faults.push(strict);
  }
  if (faults.length > 0) return { faults: faults.slice(0, MOST_SYNTAX_FAULTS) };
  const document = onlyOne(documents, named, at);
  if (document instanceof BellmouthError) return { faults: [document] };
  const read = plainValues(document, at);
  if (read === undefined) {
    const fault = new BellmouthError({
      code: "E_TOO_LARGE",
      message: "the document unfolds to too many values (aliases of aliases, perhaps)",
      accepted: `at most ${MOST_VALUES} values`,
      at: named,
    });
    return { faults: [fault] };
  }
  return "faults" in read ? read : { tree: { file, ...read } };
}

/** Why a text is not even parsed, or undefined. */
function tooLarge(text: string, named: FaultPlace): BellmouthError | undefined {
  const fault = (details: Omit<FaultDetails, "code">) =>
    new BellmouthError({ code: "E_TOO_LARGE", ...details, at: named });
  if (text.length > LARGEST_DOCUMENT) {
    return fault({
      message: "longer than any document this reads; data belong in tables beside it",
      found: `${text.length} characters`,
      accepted: `at most ${LARGEST_DOCUMENT}`,
    });
  }
  if (depthBeyond(text, DEEPEST))
    return fault({ message: "brackets nested too deep", accepted: `at most ${DEEPEST} levels` });
  return undefined;
}

/** The documents of a text, with the parser's own findings on them. */
function parsed(
  text: string,
  lineCounter: LineCounter,
  named: FaultPlace,
  at: (offset: number) => FaultPlace,
): readonly Document[] | BellmouthError {
  let documents: readonly Document[];
  try {
    const all = parseAllDocuments(text, {
      lineCounter,
      prettyErrors: false,
      strict: true,
      // Repeats are found in the values: the parser compares every key with every other, hours for a hostile file.
      uniqueKeys: false,
      version: "1.2",
      schema: "core",
      merge: false,
      customTags: [],
      logLevel: "silent",
    });
    documents = "empty" in all ? [] : (all as Document[]);
  } catch (error) {
    // The parser recurses; what overflows it is no document of ours.
    return new BellmouthError({
      code: error instanceof RangeError ? "E_TOO_LARGE" : "E_SYNTAX",
      message: error instanceof RangeError ? "nested too deep" : "this does not parse",
      at: named,
    });
  }
  const overflow = documents
    .flatMap((one) => one.errors)
    .find((error) => error.message.includes("call stack"));
  if (overflow === undefined) return documents;
  return new BellmouthError({
    code: "E_TOO_LARGE",
    message: "nested too deep",
    accepted: `at most ${DEEPEST} levels`,
    at: at(overflow.pos[0]),
  });
}

function syntaxFaults(documents: readonly Document[], at: (offset: number) => FaultPlace): BellmouthError[] {
  return documents.flatMap((document) => {
    const found = [...document.errors, ...document.warnings];
    // What the parser makes of the lines after a tab only hides the tab.
    const tabs = found.filter((error) => error.code === "TAB_AS_INDENT");
    return (tabs.length > 0 ? tabs : found).map(
      ({ code, message, pos }) =>
        new BellmouthError({ code: "E_SYNTAX", message: syntaxText(code, message), at: at(pos[0]) }),
    );
  });
}

/** The one document that a file holds. */
function onlyOne(
  [document, second]: readonly Document[],
  named: FaultPlace,
  at: (offset: number) => FaultPlace,
): Document | BellmouthError {
  if (second !== undefined) {
    return new BellmouthError({
      code: "E_SYNTAX",
      message: "more than one document in the file",
      accepted: "one document, without '---' between parts",
      at: at(second.range?.[0] ?? 0),
    });
  }
  if (document !== undefined && document.contents !== null) return document;
  return new BellmouthError({
    code: "E_SCHEMA",
    message: "the document is empty",
    accepted: "a first line such as 'bellmouth: swap 1'",
    at: { ...named, line: 1, column: 1 },
  });
}

/** True when brackets nest deeper than `limit`: a cheap look before a recursive parser. Quotes are not minded. */
function depthBeyond(text: string, limit: number): boolean {
  let depth = 0;
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 0x5b || code === 0x7b) {
      depth++;
      if (depth > limit) return true;
    } else if (code === 0x5d || code === 0x7d) depth = Math.max(0, depth - 1);
  }
  return false;
}

/** The parser's finding in our words where ours are plainer. */
function syntaxText(code: string, message: string): string {
  if (code === "TAB_AS_INDENT") return "a tab where spaces indent";
  if (code === "BAD_INDENT") {
    return message.includes("low ")
      ? "a bracket does not close, or its lines are not indented"
      : "the indentation does not line up";
  }
  if (code === "MULTILINE_IMPLICIT_KEY" || code === "MISSING_CHAR")
    return `this does not parse: ${shown(message, 160)}`;
  if (code === "BAD_ALIAS") return "this alias stands for nothing";
  if (code === "TAG_RESOLVE_FAILED") return "tags are not used here";
  return `this does not parse: ${shown(message, 160)}`;
}
