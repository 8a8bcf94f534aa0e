import * as z from "zod";
import type { TableColumnUse } from "../columns/index.js";
import {
  BellmouthError,
  type FaultDetails,
  type FaultPlace,
  isFault,
  omitUndefined,
} from "../fault/index.js";
import type { QuantityReading, SpanReading, UncertainReading } from "../text/index.js";
import {
  didYouMean,
  gathered,
  parseSource,
  placeOf,
  type SourceTree,
  separateFaults,
  shown,
} from "../text/index.js";
import { issueFaults } from "./issue-faults.js";

/**
 * What a document's schema is to those who read types: something that judges data. Zod's schemas fit; the shape is our own
 * so that a user's project compiles without zod, which is bundled.
 */
export interface DocumentSchema<Raw> {
  readonly safeParse: (
    data: unknown,
  ) =>
    | { readonly success: true; readonly data: Raw }
    | { readonly success: false; readonly error: { readonly issues: readonly object[] } };
}

/** Gives the text of a file that a document names, relative to the document; throws `E_FILE` when it cannot. */
export type OpenText = (name: string) => string;

/**
 * A kind of document: `swap`, `restriction`, … Its first key is `bellmouth: NAME VERSION`. See
 * docs/concepts/documents.md for how to add one.
 */
export interface DocumentKind<Out> {
  readonly name: string;
  readonly version: number;
  /** One sentence. */
  readonly about: string;
  /** Made when asked for, so that importing the documents costs little. */
  readonly schema: () => DocumentSchema<unknown>;
  /**
   * Turns what the schema read into plain SI data; reports mistakes that only several fields together show, and
   * gives `undefined` when they leave no document.
   */
  readonly build: (raw: unknown, context: BuildContext) => Out | undefined;
}

/** Defines a kind of document, tying the schema's result to what `build` takes. `version` is a whole number [1]. */
export function defineDocument<Raw, Out>(kind: {
  readonly name: string;
  readonly version: number;
  readonly about: string;
  readonly schema: () => DocumentSchema<Raw>;
  readonly build: (raw: Raw, context: BuildContext) => Out | undefined;
}): DocumentKind<Out> {
  let made: DocumentSchema<Raw> | undefined;
  return {
    ...kind,
    schema: () => {
      if (made === undefined) {
        // Without this zod compiles schemas with `new Function`, which pages with a strict policy forbid, and which
        // costs more than it saves on documents read once.
        z.config({ jitless: true });
        made = kind.schema();
      }
      return made;
    },
    build: (raw, context) => kind.build(raw as Raw, context),
  };
}

export interface BuildContext {
  readonly source: SourceTree;
  readonly open: OpenText;
  /** How messages call a file that the document names: with the folder of the document, as the user gave it. */
  readonly nameOf: (name: string) => string;
  /** Keeps how a table was read whose file is in its own words. */
  readonly tell: (table: TableReading) => void;
  /** Collects a mistake at a path of the document. */
  readonly fault: (path: string, details: Omit<FaultDetails, "at">) => void;
  /** Runs `read`; a fault it throws is collected, placed at `path` unless it has a line of its own. */
  readonly attempt: <T>(path: string, read: () => T) => T | undefined;
}

/** How a table in its own words was read: what became of each of its columns. Plain data. */
export interface TableReading {
  readonly file: string;
  readonly columns: readonly TableColumnUse[];
}

/** A quantity of the document, as written and as understood. */
export interface UnderstoodQuantity {
  readonly path: string;
  readonly reading: QuantityReading | UncertainReading | SpanReading;
}

export type DocumentResult<Out> =
  | {
      readonly ok: true;
      readonly kind: string;
      readonly document: Out;
      /** Where everything stands, for messages of later stages: `placeOf(source, "new.housing.bore")`. */
      readonly source: SourceTree;
      readonly understood: readonly UnderstoodQuantity[];
      /** Tables whose files are in their own words. */
      readonly tables: readonly TableReading[];
    }
  | { readonly ok: false; readonly faults: readonly BellmouthError[] };

export interface ReadOptions {
  /** Name for messages. */
  readonly file?: string;
  /** Opens the tables a document names; without it they are mistakes. */
  readonly open?: OpenText;
}

/**
 * Reads a document of one of the given kinds; every mistake that can be found at once is in the result, with file,
 * line and column.
 *
 * @param text YAML or JSON, without byte order mark (see `decodeText`)
 */
export function readDocument<Out>(
  kinds: readonly DocumentKind<Out>[],
  text: string,
  options: ReadOptions = {},
): DocumentResult<Out> {
  const parsed = parseSource(text, omitUndefined({ file: options.file }));
  if ("faults" in parsed) return { ok: false, faults: parsed.faults };
  const source = parsed.tree;
  const kind = kindOf(kinds, source);
  if (kind instanceof BellmouthError) return { ok: false, faults: [kind] };
  const read = kind.schema().safeParse(source.data);
  if (!read.success)
    return { ok: false, faults: issueFaults(read.error.issues as readonly z.core.$ZodIssue[], source) };
  const faults: BellmouthError[] = [];
  const tables: TableReading[] = [];
  const context: BuildContext = {
    source,
    tell: (table) => tables.push(table),
    open: options.open ?? noFiles,
    nameOf: (name) => besideFile(source.file, name),
    fault: (path, details) => faults.push(new BellmouthError({ ...details, at: placeOf(source, path) })),
    attempt: (path, run) => {
      try {
        return run();
      } catch (error) {
        if (!isFault(error)) throw error;
        faults.push(...placed(error, placeOf(source, path)));
        return undefined;
      }
    },
  };
  const document = kind.build(read.data, context);
  // Several entries may lead to the same mistake; it is told once.
  const told = [...new Map(faults.toReversed().map((fault) => [fault.message, fault])).values()].toReversed();
  if (told.length > 0) return { ok: false, faults: told };
  if (document === undefined) throw new Error(`the ${kind.name} document was neither built nor refused`);
  return { ok: true, kind: kind.name, document, source, understood: understoodIn(read.data, ""), tables };
}

/**
 * Like `readDocument`, but throws on mistakes: one fault as it is, several as one whose message lists them and whose
 * `cause` is the list.
 *
 * @throws the faults of the document
 */
export function requireDocument<Out>(
  kinds: readonly DocumentKind<Out>[],
  text: string,
  options: ReadOptions = {},
): Extract<DocumentResult<Out>, { ok: true }> {
  const result = readDocument(kinds, text, options);
  if (result.ok) return result;
  throw gathered(result.faults);
}

/** JSON Schema (draft 2020-12) of a kind of document, for editors that check and complete YAML. */
export function documentSchema(kind: DocumentKind<unknown>): Record<string, unknown> {
  const schema = z.toJSONSchema(kind.schema() as z.ZodType, { io: "input", target: "draft-2020-12" });
  return { title: `bellmouth ${kind.name} document`, description: kind.about, ...schema };
}

function kindOf<Out>(
  kinds: readonly DocumentKind<Out>[],
  source: SourceTree,
): DocumentKind<Out> | BellmouthError {
  const accepted = kinds.map((kind) => `'bellmouth: ${kind.name} ${kind.version}'`).join(", ");
  const { data } = source;
  if (typeof data !== "object" || data === null || Array.isArray(data)) {
    return new BellmouthError({
      code: "E_SCHEMA",
      message: "a document is a block of keys",
      accepted: `a first line ${accepted}`,
      at: placeOf(source, ""),
    });
  }
  const header = (data as Record<string, unknown>)["bellmouth"];
  if (header === undefined) {
    return new BellmouthError({
      code: "E_SCHEMA",
      message: "the document does not say what it is",
      accepted: `a first line ${accepted}`,
      at: placeOf(source, ""),
    });
  }
  const kind = kinds.find((candidate) => header === `${candidate.name} ${candidate.version}`);
  if (kind !== undefined) return kind;
  // Not String(): a block with a key 'toString' has none of its own.
  const written = typeof header === "string" ? header : JSON.stringify(header);
  const same = kinds.find((candidate) => written.split(" ")[0] === candidate.name);
  return new BellmouthError({
    code: "E_SCHEMA",
    message:
      same === undefined
        ? `not a kind of document this reads${didYouMean(
            written,
            kinds.map((candidate) => `${candidate.name} ${candidate.version}`),
          )}`
        : `this version of bellmouth reads version ${same.version} of the ${same.name} document`,
    found: `'${shown(written)}'`,
    accepted,
    at: placeOf(source, "bellmouth"),
  });
}

/** `jobs/swap.yaml` names `air.csv`: `jobs/air.csv`. */
export function besideFile(file: string | undefined, name: string): string {
  const folder = /^.*[\\/]/su.exec(file ?? "")?.[0] ?? "";
  return /^(?:[\\/]|[A-Za-z]:)/u.test(name) ? name : `${folder}${name}`;
}

const noFiles: OpenText = (name) => {
  throw new BellmouthError({
    code: "E_FILE",
    message: "no files can be opened here",
    found: `'${shown(name)}'`,
  });
};

/** Gives faults that know no line the place of the key that led to them. */
function placed(error: BellmouthError, at: FaultPlace): readonly BellmouthError[] {
  return separateFaults(error).map((fault) => {
    if (fault.at?.line !== undefined) return fault;
    return new BellmouthError(
      omitUndefined({
        code: fault.code,
        message: [fault.at?.file, fault.at?.path, fault.sentence]
          .filter((part) => part !== undefined)
          .join(": "),
        found: fault.found,
        accepted: fault.accepted,
        questions: fault.questions,
        at,
      }),
    );
  });
}

function understoodIn(value: unknown, path: string): readonly UnderstoodQuantity[] {
  if (typeof value !== "object" || value === null) return [];
  if (Array.isArray(value)) return value.flatMap((item, i) => understoodIn(item, `${path}[${i}]`));
  const { kind, dimension } = value as { kind?: unknown; dimension?: unknown };
  if ((kind === "quantity" || kind === "uncertain" || kind === "span") && typeof dimension === "string") {
    return [{ path, reading: value as UnderstoodQuantity["reading"] }];
  }
  return Object.entries(value).flatMap(([key, item]) =>
    understoodIn(item, path === "" ? key : `${path}.${key}`),
  );
}
