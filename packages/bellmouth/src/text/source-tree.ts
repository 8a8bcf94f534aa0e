import {
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  type Pair,
  parseAllDocuments,
} from "yaml";
import { BellmouthError, type FaultDetails, type FaultPlace } from "../fault/index.js";
import { shown } from "./nearest.js";
import { NUMBER_PATTERN } from "./number-text.js";

/** Largest document [characters]: a swap document has some 3,000; data belong in tables beside it. */
export const LARGEST_DOCUMENT = 300_000;
/** Most values a document may come to, aliases written out: stops a few lines from becoming billions. */
export const MOST_VALUES = 20_000;
/** Deepest nesting. */
export const DEEPEST = 50;

/** Keys that reach behind an object's own data in JavaScript; no document needs them. */
const HOSTILE_KEYS: readonly string[] = ["__proto__", "constructor", "prototype"];

/** What the parser itself puts on nodes, and harmless when written. */
const PLAIN_TAGS: readonly string[] = ["map", "seq", "str", "int", "float", "bool", "null"].map(
  (name) => `tag:yaml.org,2002:${name}`,
);

export type PathPart = string | number;

/** A document as plain data, with the place of every value. */
export interface SourceTree {
  readonly file: string | undefined;
  /** Objects, arrays, strings, finite numbers, booleans and null. */
  readonly data: unknown;
  /** Line and column of each value (and of its key) by path. */
  readonly places: ReadonlyMap<string, SourcePlace>;
}

export interface SourcePlace {
  readonly line: number;
  readonly column: number;
  readonly keyLine: number;
  readonly keyColumn: number;
  /** the value as written, for scalars */
  readonly text: string | undefined;
}

/** `["scenarios", 0, "peak"]` as `scenarios[0].peak`. */
export function pathText(path: readonly PathPart[]): string {
  let text = "";
  for (const part of path) {
    text += typeof part === "number" ? `[${part}]` : text === "" ? part : `.${part}`;
  }
  return text;
}

/** Place of a path in the document; for a path that is not there, the nearest value that would hold it. */
export function placeOf(source: SourceTree, path: string, of: "value" | "key" = "value"): FaultPlace {
  const file = source.file === undefined ? {} : { file: source.file };
  const shownPath = path === "" ? {} : { path };
  let near = path;
  for (;;) {
    const place = source.places.get(near);
    if (place !== undefined) {
      // A missing key is reported at the key of the block it is missing from.
      const at =
        of === "key" || near !== path
          ? { line: place.keyLine, column: place.keyColumn }
          : { line: place.line, column: place.column };
      return { ...file, ...at, ...shownPath };
    }
    const cut = Math.max(near.lastIndexOf("."), near.lastIndexOf("["));
    if (near === "") return { ...file, ...shownPath };
    near = cut < 0 ? "" : near.slice(0, cut);
  }
}

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
  const alone = (details: FaultDetails): { readonly faults: readonly BellmouthError[] } => ({
    faults: [new BellmouthError(details)],
  });
  if (text.length > LARGEST_DOCUMENT) {
    return alone({
      code: "E_TOO_LARGE",
      message: "longer than any document this reads; data belong in tables beside it",
      found: `${text.length} characters`,
      accepted: `at most ${LARGEST_DOCUMENT}`,
      at: named,
    });
  }
  if (depthBeyond(text, DEEPEST)) {
    return alone({
      code: "E_TOO_LARGE",
      message: "brackets nested too deep",
      accepted: `at most ${DEEPEST} levels`,
      at: named,
    });
  }
  const lines = new LineCounter();
  let documents: readonly Document[];
  try {
    const parsed = parseAllDocuments(text, {
      lineCounter: lines,
      prettyErrors: false,
      strict: true,
      // Repeats are found in the walk: the parser compares every key with every other, hours for a hostile file.
      uniqueKeys: false,
      version: "1.2",
      schema: "core",
      merge: false,
      customTags: [],
      logLevel: "silent",
    });
    documents = "empty" in parsed ? [] : (parsed as Document[]);
  } catch (error) {
    // The parser recurses; what overflows it is no document of ours.
    return alone({
      code: error instanceof RangeError ? "E_TOO_LARGE" : "E_SYNTAX",
      message: error instanceof RangeError ? "nested too deep" : "this does not parse",
      at: named,
    });
  }
  const at = (offset: number): FaultPlace => {
    const { line, col } = lines.linePos(offset);
    return { ...named, line: Math.max(1, line), column: Math.max(1, col) };
  };
  const faults: BellmouthError[] = [];
  const overflow = documents
    .flatMap((one) => one.errors)
    .find((error) => error.message.includes("call stack"));
  if (overflow !== undefined) {
    return alone({
      code: "E_TOO_LARGE",
      message: "nested too deep",
      accepted: `at most ${DEEPEST} levels`,
      at: at(overflow.pos[0]),
    });
  }
  for (const document of documents) {
    const found = [...document.errors, ...document.warnings];
    // What the parser makes of the lines after a tab only hides the tab.
    const tabs = found.filter((error) => error.code === "TAB_AS_INDENT");
    for (const error of tabs.length > 0 ? tabs : found) {
      faults.push(
        new BellmouthError({
          code: "E_SYNTAX",
          message: syntaxText(error.code, error.message),
          at: at(error.pos[0]),
        }),
      );
    }
  }
  const strict = file?.toLowerCase().endsWith(".json") === true ? jsonFault(text, at) : undefined;
  if (strict !== undefined && faults.length === 0) faults.push(strict);
  if (faults.length > 0) return { faults: faults.slice(0, 20) };
  const [document, second] = documents;
  if (second !== undefined) {
    return alone({
      code: "E_SYNTAX",
      message: "more than one document in the file",
      accepted: "one document, without '---' between parts",
      at: at(second.range?.[0] ?? 0),
    });
  }
  if (document === undefined || document.contents === null) {
    return alone({
      code: "E_SCHEMA",
      message: "the document is empty",
      accepted: "a first line such as 'bellmouth: swap 1'",
      at: { ...named, line: 1, column: 1 },
    });
  }
  return walk(document, at, file);
}

function walk(
  document: Document,
  at: (offset: number) => FaultPlace,
  file: string | undefined,
): { readonly tree: SourceTree } | { readonly faults: readonly BellmouthError[] } {
  const places = new Map<string, SourcePlace>();
  const faults: BellmouthError[] = [];
  const open = new Set<Node>();
  let values = 0;
  let tooMany = false;

  const fault = (details: FaultDetails): undefined => {
    if (faults.length < 50) faults.push(new BellmouthError(details));
    return undefined;
  };
  const visit = (
    node: Node | null,
    path: readonly PathPart[],
    key: FaultPlace,
    from: FaultPlace,
  ): unknown => {
    values++;
    if (values > MOST_VALUES) {
      tooMany = true;
      return undefined;
    }
    // A key with nothing after it is found at the key.
    const empty = isScalar(node) && node.source === "" && node.type === "PLAIN";
    const own = empty || node?.range === undefined || node.range === null ? from : at(node.range[0]);
    const name = pathText(path);
    const here = { ...own, ...(name === "" ? {} : { path: name }) };
    if (path.length > DEEPEST) return fault({ code: "E_TOO_LARGE", message: "nested too deep", at: here });
    const write = (text: string | undefined): void => {
      places.set(name, {
        line: own.line ?? 1,
        column: own.column ?? 1,
        keyLine: key.line ?? own.line ?? 1,
        keyColumn: key.column ?? own.column ?? 1,
        text,
      });
    };
    if (node === null) {
      write("");
      return null;
    }
    if (isAlias(node)) {
      const target = node.resolve(document);
      if (target === undefined || open.has(target)) {
        return fault({
          code: "E_SYNTAX",
          message: target === undefined ? "this alias stands for nothing" : "this alias holds itself",
          found: `*${shown(node.source)}`,
          at: here,
        });
      }
      return visit(target, path, key, own);
    }
    if (node.tag !== undefined && !PLAIN_TAGS.includes(node.tag)) {
      return fault({
        code: "E_SYNTAX",
        message: "tags are not used here",
        found: shown(node.tag),
        accepted: "the value without its tag",
        at: here,
      });
    }
    if (isScalar(node)) {
      write(node.source ?? String(node.value));
      return scalar(node.value, node.source, here, fault);
    }
    open.add(node);
    write(undefined);
    let result: unknown;
    if (isSeq(node)) {
      result = node.items.map((item, i) => visit(item as Node | null, [...path, i], own, own));
    } else if (isMap(node)) {
      const entries: [string, unknown][] = [];
      const seen = new Set<string>();
      for (const pair of node.items as Pair<Node, Node | null>[]) {
        const keyAt = pair.key.range === undefined || pair.key.range === null ? own : at(pair.key.range[0]);
        const text = isScalar(pair.key) ? pair.key.value : undefined;
        if (typeof text !== "string" || HOSTILE_KEYS.includes(text)) {
          fault({
            code: "E_SCHEMA",
            message:
              typeof text === "string" ? "this key is not allowed in any document" : "a key must be text",
            found: typeof text === "string" ? `'${text}'` : shown(String(pair.key)),
            accepted: "lower-case words joined by hyphens",
            at: { ...keyAt, path: pathText([...path, typeof text === "string" ? text : "?"]) },
          });
          continue;
        }
        if (seen.has(text)) {
          fault({
            code: "E_SYNTAX",
            message: "the same key stands twice in this block",
            found: `'${shown(text)}'`,
            accepted: "each key once",
            at: { ...keyAt, path: pathText([...path, text]) },
          });
          continue;
        }
        seen.add(text);
        entries.push([text, visit(pair.value, [...path, text], keyAt, keyAt)]);
        if (tooMany) break;
      }
      result = Object.fromEntries(entries);
    }
    open.delete(node);
    return result;
  };
  const data = visit(document.contents as Node, [], { line: 1, column: 1 }, { line: 1, column: 1 });
  if (tooMany) {
    const named = file === undefined ? {} : { file };
    return {
      faults: [
        new BellmouthError({
          code: "E_TOO_LARGE",
          message: "the document unfolds to too many values (aliases of aliases, perhaps)",
          accepted: `at most ${MOST_VALUES} values`,
          at: named,
        }),
      ],
    };
  }
  return faults.length > 0 ? { faults } : { tree: { file, data, places } };
}

function scalar(
  value: unknown,
  source: string | undefined,
  at: FaultPlace,
  fault: (details: FaultDetails) => undefined,
): unknown {
  if (typeof value === "number") {
    if (Number.isFinite(value) && NUMBER_PATTERN.test(source ?? String(value))) return value;
    return fault({
      code: "E_NUMBER",
      message: Number.isFinite(value) ? "numbers are decimal here" : "not a finite number",
      found: `'${shown(source ?? String(value))}'`,
      accepted: "a decimal number such as 0.95",
      at,
    });
  }
  if (typeof value === "string" || typeof value === "boolean" || value === null) return value;
  return fault({ code: "E_SYNTAX", message: "a value of a kind that is not used here", at });
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

/** What YAML takes and JSON does not (comments, bare words) is a mistake in a file called .json. */
function jsonFault(text: string, at: (offset: number) => FaultPlace): BellmouthError | undefined {
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
