import type * as z from "zod";
import { BellmouthError, type FaultDetails } from "../fault/index.js";
import {
  didYouMean,
  nearest,
  type PathPart,
  pathText,
  placeOf,
  type SourceTree,
  shown,
} from "../text/index.js";
import { keyNow, wordNow } from "./former-words.js";

type Issue = z.core.$ZodIssue;

/** Most mistakes reported at once; more are the consequence of the first, or no document at all. */
const MOST_FAULTS = 50;

/** Turns what zod found into faults with file, line and column, in the order of the document. */
export function issueFaults(issues: readonly Issue[], source: SourceTree): readonly BellmouthError[] {
  const found = issues.flatMap((issue) => faultsOf(issue, [], source));
  // A misspelt key is not missing as well: its own message leads to it.
  const misspelt = new Set(found.map((fault) => fault.meant).filter((path) => path !== undefined));
  return found
    .filter((fault) => fault.missing === undefined || !misspelt.has(fault.missing))
    .map(({ meant: _meant, missing: _missing, ...details }) => details)
    .map((details) => new BellmouthError(details))
    .sort((a, b) => (a.at?.line ?? 0) - (b.at?.line ?? 0) || (a.at?.column ?? 0) - (b.at?.column ?? 0))
    .slice(0, MOST_FAULTS);
}

interface Found extends FaultDetails {
  /** path of a key that is missing */
  readonly missing?: string;
  /** path of the key that a misspelt one was probably meant to be */
  readonly meant?: string;
}

function faultsOf(issue: Issue, above: readonly PathPart[], source: SourceTree): readonly Found[] {
  const parts = [...above, ...issue.path.map((part) => (typeof part === "symbol" ? String(part) : part))];
  const path = pathText(parts);
  if (issue.code === "custom") {
    const given = (issue.params as { fault?: FaultDetails } | undefined)?.fault;
    const fault: FaultDetails = given ?? { code: "E_SCHEMA", message: issue.message };
    return [{ ...fault, at: placeOf(source, path) }];
  }
  if (issue.code === "unrecognized_keys") {
    const known = issue.message.split(", ");
    return issue.keys.slice(0, MOST_FAULTS).map((key) => {
      const former = keyNow(key, known);
      const near = former?.now ?? nearest(key, known);
      return {
        code: "E_SCHEMA" as const,
        message: `'${shown(key)}' is not a key of this block${
          former === undefined ? didYouMean(key, known) : `: ${former.sentence}`
        }`,
        accepted: issue.message,
        at: placeOf(source, pathText([...parts, key]), "key"),
        ...(near === undefined ? {} : { meant: pathText([...parts, near]) }),
      };
    });
  }
  const value = valueAt(source.data, parts);
  if (issue.code === "invalid_union" && value !== undefined) {
    const nearest = nearestForm(issue.errors);
    if (nearest !== undefined) return nearest.flatMap((inner) => faultsOf(inner, parts, source));
  }
  if (value === undefined) {
    const key = parts.at(-1);
    return [
      {
        code: "E_SCHEMA",
        message: typeof key === "string" ? `the key '${key}' is missing` : "a value is missing",
        accepted: issue.message,
        at: placeOf(source, path),
        missing: path,
      },
    ];
  }
  const hint =
    issue.code === "invalid_value" && typeof value === "string"
      ? wordHint(value, issue.values.map(String))
      : "";
  return [
    {
      code: "E_SCHEMA",
      message: `not what belongs here${hint}`,
      found: foundText(value, source.places.get(path)?.text),
      accepted: issue.message,
      at: placeOf(source, path),
    },
  ];
}

function wordHint(word: string, accepted: readonly string[]): string {
  const now = wordNow(word, accepted);
  return now === undefined ? didYouMean(word, accepted) : `: '${now}' says it now`;
}

/**
 * The form of a union whose complaints lie deepest: the one the writer was using. `undefined` when every form is of
 * another kind than what was written, so that the union's own words are better.
 */
function nearestForm(forms: readonly (readonly Issue[])[]): readonly Issue[] | undefined {
  let best: readonly Issue[] | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const form of forms) {
    const foreign = form.some(
      (issue) => issue.path.length === 0 && issue.code !== "unrecognized_keys" && issue.code !== "custom",
    );
    if (foreign) continue;
    const strange = form.reduce(
      (n, issue) => n + (issue.code === "unrecognized_keys" ? issue.keys.length : 0),
      0,
    );
    const score = 10 * strange + form.length;
    if (score < least) {
      best = form;
      least = score;
    }
  }
  return best;
}

function valueAt(data: unknown, path: readonly PathPart[]): unknown {
  let value = data;
  for (const part of path) {
    if (typeof value !== "object" || value === null || !Object.hasOwn(value, part)) return undefined;
    value = (value as Record<PathPart, unknown>)[part];
  }
  return value;
}

function foundText(value: unknown, text: string | undefined): string {
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (value === null) return "nothing";
  if (typeof value === "object") return `a block with ${shown(Object.keys(value).join(", ")) || "no keys"}`;
  return `'${shown(text ?? String(value))}'`;
}
