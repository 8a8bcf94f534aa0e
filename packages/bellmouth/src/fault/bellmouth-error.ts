/**
 * Codes of every mistake the library reports. A code is stable: its meaning never changes, and a retired code
 * is never used again. docs/concepts/mistakes.md lists them with an example each.
 */
export type FaultCode =
  | "E_DOMAIN" // a number outside the range its law or type allows, or NaN
  | "E_SHAPE" // lists of unequal or too small length
  | "E_ORDER" // breakpoints not strictly increasing
  | "E_NOT_INVERTIBLE" // an inverse was asked of a curve that is not strictly monotone
  | "E_OUTSIDE" // a curve that refuses to be read outside its breakpoints was
  | "E_UNIT" // a unit is missing, unknown, or of the wrong dimension
  | "E_NUMBER" // text that should be a number is not one
  | "E_ENCODING" // bytes that are not text in an accepted encoding
  | "E_SYNTAX" // a document or table that does not parse
  | "E_SCHEMA" // a document of the wrong shape
  | "E_COLUMN" // a table column missing, repeated or ambiguous
  | "E_SIGNAL_KIND" // a voltage table where a frequency table is meant, or the reverse
  | "E_TOO_LITTLE_DATA" // fewer points than the computation needs
  | "E_SINGULAR" // data that cannot determine what is asked of it
  | "E_NOT_CONVERGED" // an iteration that did not settle
  | "E_TOO_LARGE" // input beyond a stated limit
  | "E_FORMULA" // a user formula that does not parse or uses what is not allowed
  | "E_FILE" // a file that cannot be read or written
  | "E_EXISTS" // a result that is already there and may not be replaced unasked
  | "E_USAGE" // a command line that does not parse
  | "E_UNSAFE"; // an output the safety rules refuse

/** Where a mistake is: a place in a file, a path inside a document or argument, or both. Lines and columns count from 1. */
export interface FaultPlace {
  readonly file?: string;
  readonly line?: number;
  readonly column?: number;
  /** Path inside the data, for example `new.housing.bore` or `cells[3].flow`. */
  readonly path?: string;
}

/** A question that only a person can answer, in words and as data: `answer` holds keys of a `columns` block, `paste` the same as lines of a document. */
export interface FaultQuestion {
  readonly kind: string;
  readonly about: string;
  readonly columns: readonly { readonly number: number; readonly name: string }[];
  readonly text: string;
  readonly choices: readonly {
    readonly text: string;
    readonly answer: { readonly [key: string]: unknown };
    readonly paste: string;
    /** A value in it stands for the owner's own. */
    readonly fill?: true;
  }[];
}

export interface FaultDetails {
  readonly code: FaultCode;
  /** One sentence: what is wrong. */
  readonly message: string;
  /** What was found, as text with its unit. */
  readonly found?: string;
  /** What would be accepted, as text. */
  readonly accepted?: string;
  readonly at?: FaultPlace;
  /** What must be answered first, of an `E_COLUMN`. */
  readonly questions?: readonly FaultQuestion[];
}

/**
 * The one error the library throws for a caller's mistake. Conditions of data (a saturated sample, too few
 * runs, an uncertain cell) are values in results and are never thrown.
 *
 * Test with `isFault(e, "E_UNIT")`, not with `instanceof`: two copies of the library may be loaded at once.
 */
export class BellmouthError extends Error {
  override readonly name = "BellmouthError";
  readonly code: FaultCode;
  /** What is wrong, without place, found and accepted. */
  readonly sentence: string;
  readonly found: string | undefined;
  readonly accepted: string | undefined;
  readonly at: FaultPlace | undefined;
  readonly questions: readonly FaultQuestion[] | undefined;

  constructor(details: FaultDetails) {
    super(faultText(details));
    this.code = details.code;
    this.sentence = details.message;
    this.found = details.found;
    this.accepted = details.accepted;
    this.at = details.at;
    this.questions = details.questions;
  }
}

/** True when `error` is a BellmouthError, of the given code when one is given. Works across copies of the library. */
export function isFault(error: unknown, code?: FaultCode): error is BellmouthError {
  if (typeof error !== "object" || error === null) return false;
  const candidate = error as { name?: unknown; code?: unknown };
  return candidate.name === "BellmouthError" && (code === undefined || candidate.code === code);
}

/** What an error was made of, for making another of it: at another place, or in other words. */
export const faultDetails = ({
  code,
  sentence,
  found,
  accepted,
  at,
  questions,
}: BellmouthError): FaultDetails => ({
  code,
  message: sentence,
  ...(found === undefined ? {} : { found }),
  ...(accepted === undefined ? {} : { accepted }),
  ...(at === undefined ? {} : { at }),
  ...(questions === undefined ? {} : { questions }),
});

// What moves a terminal's cursor or turns its reading direction: names of files, keys and columns are a user's text.
const CONTROLS = /[\p{Cc}\p{Bidi_Control}\p{Cs}\u2028\u2029]/gu;
const LINE_CONTROLS = /[^\P{Cc}\n]|[\p{Bidi_Control}\p{Cs}\u2028\u2029]/gu;

const escaped = (text: string, controls: RegExp): string =>
  text.replace(controls, (hidden) => `\\u{${hidden.codePointAt(0)?.toString(16)}}`);

/** A name or path in one line, not endless. */
const named = (text: string | undefined): string | undefined =>
  text === undefined ? undefined : escaped(text.length > 300 ? `${text.slice(0, 300)}…` : text, CONTROLS);

/**
 * A fault as one line of text: `file:line:column: path: message (found …; accepted: …) [CODE]`. Control characters are
 * shown by their numbers; only a message that lists several faults has lines of its own.
 */
export function faultText(details: FaultDetails): string {
  const { at } = details;
  const place = [
    named(at?.file),
    at?.line === undefined ? undefined : String(at.line),
    at?.line === undefined || at.column === undefined ? undefined : String(at.column),
  ]
    .filter((part) => part !== undefined)
    .join(":");
  const where = [place, named(at?.path)].filter((part) => part !== undefined && part !== "").join(": ");
  const notes = [
    details.found === undefined ? undefined : `found ${details.found}`,
    details.accepted === undefined ? undefined : `accepted: ${details.accepted}`,
  ].filter((part) => part !== undefined);
  const text = `${where === "" ? "" : `${where}: `}${details.message}${notes.length === 0 ? "" : ` (${notes.join("; ")})`} [${details.code}]`;
  return escaped(text, LINE_CONTROLS);
}
