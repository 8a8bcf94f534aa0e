import {
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  type Scalar,
  type YAMLMap,
} from "yaml";
import { BellmouthError, type FaultDetails, type FaultPlace } from "../fault/index.js";
import { shown } from "./nearest.js";
import { NUMBER_PATTERN } from "./number-text.js";
import { DEEPEST, MOST_VALUES, type PathPart, pathText, type SourcePlace } from "./source-place.js";

/** Keys that reach behind an object's own data in JavaScript; no document needs them. */
const HOSTILE_KEYS: readonly string[] = ["__proto__", "constructor", "prototype"];

/** What the parser itself puts on nodes, and harmless when written. */
const PLAIN_TAGS: readonly string[] = ["map", "seq", "str", "int", "float", "bool", "null"].map(
  (name) => `tag:yaml.org,2002:${name}`,
);

const MOST_FAULTS = 50;

/** What a reading of a document's nodes gathers on its way. */
interface Reading {
  readonly at: (offset: number) => FaultPlace;
  readonly places: Map<string, SourcePlace>;
  readonly faults: BellmouthError[];
  /** Nodes that hold the one being read: an alias of one of them holds itself. */
  readonly open: Set<Node>;
  /** The last node of each anchor so far; the parser's own way from an alias to it goes through the whole document. */
  readonly anchors: Map<string, Node>;
  /** Aliases that the node being read is read through. */
  aliases: number;
  values: number;
}

/** Where a node stands. */
interface Spot {
  readonly path: readonly PathPart[];
  readonly key: FaultPlace;
  /** Place of what holds the node, for nodes that have none of their own. */
  readonly from: FaultPlace;
}

/** Plain data of a parsed document with the place of every value, or every mistake; `undefined` when it unfolds to too many values. */
export function plainValues(
  document: Document,
  at: (offset: number) => FaultPlace,
):
  | { readonly data: unknown; readonly places: ReadonlyMap<string, SourcePlace> }
  | { readonly faults: readonly BellmouthError[] }
  | undefined {
  const reading: Reading = {
    at,
    places: new Map(),
    faults: [],
    open: new Set(),
    anchors: new Map(),
    aliases: 0,
    values: 0,
  };
  const top = { line: 1, column: 1 };
  const data = readNode(reading, document.contents as Node, { path: [], key: top, from: top });
  if (tooMany(reading)) return undefined;
  return reading.faults.length > 0 ? { faults: reading.faults } : { data, places: reading.places };
}

const tooMany = (reading: Reading): boolean => reading.values > MOST_VALUES;

function refuse(reading: Reading, details: FaultDetails): undefined {
  if (reading.faults.length < MOST_FAULTS) reading.faults.push(new BellmouthError(details));
  return undefined;
}

function readNode(reading: Reading, node: Node | null, spot: Spot): unknown {
  reading.values++;
  if (tooMany(reading)) return undefined;
  // A key with nothing after it is found at the key.
  const empty = isScalar(node) && node.source === "" && node.type === "PLAIN";
  const own =
    empty || node?.range === undefined || node.range === null ? spot.from : reading.at(node.range[0]);
  const name = pathText(spot.path);
  const here = { ...own, ...(name === "" ? {} : { path: name }) };
  if (spot.path.length > DEEPEST)
    return refuse(reading, { code: "E_TOO_LARGE", message: "nested too deep", at: here });
  if (isAlias(node)) {
    const target = reading.anchors.get(node.source);
    if (target !== undefined && !reading.open.has(target)) {
      reading.aliases++;
      const value = readNode(reading, target, { ...spot, from: own });
      reading.aliases--;
      return value;
    }
    return refuse(reading, {
      code: "E_SYNTAX",
      message: target === undefined ? "this alias stands for nothing" : "this alias holds itself",
      found: `*${shown(node.source)}`,
      at: here,
    });
  }
  if (node !== null) noteAnchor(reading, node);
  if (node !== null && node.tag !== undefined && !PLAIN_TAGS.includes(node.tag)) {
    return refuse(reading, {
      code: "E_SYNTAX",
      message: "tags are not used here",
      found: shown(node.tag),
      accepted: "the value without its tag",
      at: here,
    });
  }
  reading.places.set(name, {
    line: own.line ?? 1,
    column: own.column ?? 1,
    keyLine: spot.key.line ?? own.line ?? 1,
    keyColumn: spot.key.column ?? own.column ?? 1,
    text: node === null ? "" : isScalar(node) ? (node.source ?? String(node.value)) : undefined,
  });
  if (node === null) return null;
  return isScalar(node) ? scalarOf(reading, node, here) : collectionOf(reading, node, spot.path, own);
}

/** What is read through an alias was noted where it stands, and may have a later one of its name by now. */
function noteAnchor(reading: Reading, node: Node): void {
  if (reading.aliases > 0 || !(isScalar(node) || isSeq(node) || isMap(node))) return;
  if (node.anchor !== undefined) reading.anchors.set(node.anchor, node);
}

function collectionOf(reading: Reading, node: Node, path: readonly PathPart[], own: FaultPlace): unknown {
  reading.open.add(node);
  let result: unknown;
  if (isSeq(node)) {
    result = node.items.map((item, i) =>
      readNode(reading, item as Node | null, { path: [...path, i], key: own, from: own }),
    );
  } else if (isMap(node)) result = blockOf(reading, node, path, own);
  reading.open.delete(node);
  return result;
}

function blockOf(reading: Reading, node: YAMLMap, path: readonly PathPart[], own: FaultPlace): unknown {
  const entries = new Map<string, unknown>();
  for (const pair of node.items as Pair<Node, Node | null>[]) {
    const keyAt =
      pair.key.range === undefined || pair.key.range === null ? own : reading.at(pair.key.range[0]);
    noteAnchor(reading, pair.key);
    const text = isScalar(pair.key) ? pair.key.value : undefined;
    if (typeof text !== "string" || HOSTILE_KEYS.includes(text)) {
      refuse(reading, {
        code: "E_SCHEMA",
        message: typeof text === "string" ? "this key is not allowed in any document" : "a key must be text",
        found: typeof text === "string" ? `'${text}'` : shown(String(pair.key)),
        accepted: "lower-case words joined by hyphens",
        at: { ...keyAt, path: pathText([...path, typeof text === "string" ? text : "?"]) },
      });
    } else if (entries.has(text)) {
      refuse(reading, {
        code: "E_SYNTAX",
        message: "the same key stands twice in this block",
        found: `'${shown(text)}'`,
        accepted: "each key once",
        at: { ...keyAt, path: pathText([...path, text]) },
      });
    } else {
      entries.set(text, readNode(reading, pair.value, { path: [...path, text], key: keyAt, from: keyAt }));
      if (tooMany(reading)) break;
    }
  }
  return Object.fromEntries(entries);
}

function scalarOf(reading: Reading, { value, source }: Scalar, at: FaultPlace): unknown {
  if (typeof value === "number") {
    if (Number.isFinite(value) && NUMBER_PATTERN.test(source ?? String(value))) return value;
    return refuse(reading, {
      code: "E_NUMBER",
      message: Number.isFinite(value) ? "numbers are decimal here" : "not a finite number",
      found: `'${shown(source ?? String(value))}'`,
      accepted: "a decimal number such as 0.95",
      at,
    });
  }
  if (typeof value === "string" || typeof value === "boolean" || value === null) return value;
  return refuse(reading, { code: "E_SYNTAX", message: "a value of a kind that is not used here", at });
}
