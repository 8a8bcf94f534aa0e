import * as z from "zod";
import {
  BellmouthError,
  type FaultDetails,
  faultDetails,
  isFault,
  type NumberRange,
  omitUndefined,
} from "../fault/index.js";
import {
  type Dimension,
  type QuantityReading,
  readQuantity,
  readSpan,
  readUncertain,
  type SpanReading,
  type UncertainReading,
  unitScale,
  unitsFor,
} from "../text/index.js";

/**
 * The parts that document schemas are made of. Each says in its `error` what it would accept; `issue-faults.ts`
 * turns that into the `accepted` of a fault.
 */

export interface FieldOptions {
  /** One sentence for the JSON Schema. */
  readonly about: string;
  /** For messages and the JSON Schema, for example `70 mm ± 0.1 mm`. */
  readonly example: string;
  /** Accepted range, in SI. */
  readonly range?: NumberRange;
  /** See `QuantityOptions.percent`. */
  readonly percent?: boolean;
}

type Read<T> = (text: string | number, options: { range?: NumberRange; percent?: boolean }) => T;

function textField<T>(dimensions: readonly Dimension[], options: FieldOptions, read: Read<T>) {
  const units = dimensions.flatMap((dimension) => unitsFor(dimension));
  const dimension = dimensions.join(" or ");
  const accepted = `${dimension === "ratio" ? "a number or percentage" : `a ${dimension} with its unit`}, as in '${options.example}'`;
  return z
    .union([z.string(), z.number()], { error: accepted })
    .meta({
      description: `${options.about} Units: ${units.join(", ")}.`,
      examples: [options.example],
    })
    .transform((input, context): T => {
      try {
        return read(input, omitUndefined({ range: options.range, percent: options.percent }));
      } catch (error) {
        return addFault(error, context);
      }
    });
}

/** Hands a fault to zod, whole, so that `issue-faults.ts` can give it back with its place. */
function addFault(error: unknown, context: z.RefinementCtx): never {
  if (!isFault(error)) throw error;
  const { at: _, ...fault } = faultDetails(error);
  context.addIssue({ code: "custom", message: fault.message, params: { fault } });
  return z.NEVER;
}

/** A quantity with its unit. */
export const quantityField = <D extends Dimension>(dimension: D, options: FieldOptions) =>
  textField<QuantityReading<D>>([dimension], options, (text, more) => readQuantity(text, dimension, more));

/** A quantity with its uncertainty: `70 mm ± 0.1 mm`. */
export const uncertainField = <D extends Dimension>(dimension: D, options: FieldOptions) =>
  textField<UncertainReading<D>>([dimension], options, (text, more) => readUncertain(text, dimension, more));

/** A span: `0.3 .. 0.5`. */
export const spanField = <D extends Dimension>(dimension: D, options: FieldOptions) =>
  textField<SpanReading<D>>([dimension], options, (text, more) => readSpan(text, dimension, more));

/** A quantity that may be of several dimensions; another key of the document says which, and `build` checks it. */
export const anyQuantityField = <D extends Dimension>(dimensions: readonly D[], options: FieldOptions) =>
  textField<QuantityReading<D>>(dimensions, options, (text, more) =>
    firstThatReads(dimensions, (dimension) => readQuantity(text, dimension, more)),
  );

/** A span that may be of several dimensions. */
export const anySpanField = <D extends Dimension>(dimensions: readonly D[], options: FieldOptions) =>
  textField<SpanReading<D>>(dimensions, options, (text, more) =>
    firstThatReads(dimensions, (dimension) => readSpan(text, dimension, more)),
  );

/** What the first dimension that takes the unit reads; when none does, a complaint that lists the units of all. */
function firstThatReads<D extends Dimension, T>(dimensions: readonly D[], read: (dimension: D) => T): T {
  let unit: BellmouthError | undefined;
  for (const dimension of dimensions) {
    try {
      return read(dimension);
    } catch (error) {
      // Only the unit speaks against a dimension; a bad number is bad in all of them.
      if (!isFault(error, "E_UNIT")) throw error;
      unit ??= error;
    }
  }
  throw new BellmouthError(
    omitUndefined({
      code: "E_UNIT",
      message: `not the unit of a ${dimensions.join(" or ")}`,
      found: unit?.found,
      accepted: dimensions.flatMap((dimension) => unitsFor(dimension)).join(", "),
    }),
  );
}

/** The unit that a written column is to have. */
export const unitField = (dimension: Dimension, about: string, example: string) =>
  z
    .string({ error: `a unit, as in '${example}'` })
    .meta({ description: about, examples: [example] })
    .transform((text, context): string => {
      try {
        return unitScale(text, dimension).unit;
      } catch (error) {
        return addFault(error, context);
      }
    });

/** One of a few words. */
export const choiceField = <const T extends readonly [string, ...string[]]>(words: T, about: string) =>
  z.enum(words, { error: words.map((word) => `'${word}'`).join(" or ") }).meta({ description: about });

/** Yes or no, as a word or as YAML's own truth values. */
export const yesNoField = (about: string) =>
  z
    .union([z.enum(["yes", "no"]), z.boolean()], { error: "yes or no" })
    .meta({ description: about })
    .transform((given) => given === "yes" || given === true);

/** Free text of a sensible length. */
export const textLineField = (about: string, longest = 200) =>
  z
    .string({ error: "text" })
    .min(1, { error: "text that is not empty" })
    .max(longest, { error: `text of at most ${longest} characters` })
    .meta({ description: about });

/** Name of a file, relative to the document's folder. */
export const fileField = (about: string, example: string) =>
  z
    .string({ error: `the name of a file, as in '${example}'` })
    .min(1, { error: `the name of a file, as in '${example}'` })
    .max(1000, { error: "a file name of at most 1000 characters" })
    .refine((name) => !name.includes("\0"), { error: "a file name without zero bytes" })
    .meta({ description: about, examples: [example] });

/** A whole number. */
export const wholeField = (about: string, from: number, to: number) =>
  z
    .int({ error: `a whole number from ${from} to ${to}` })
    .min(from, { error: `a whole number from ${from} to ${to}` })
    .max(to, { error: `a whole number from ${from} to ${to}` })
    .meta({ description: about });

/** A plain number, for counts of standard uncertainties and the like. */
export const numberField = (about: string, from: number, to: number) =>
  z
    .number({ error: `a number from ${from} to ${to}` })
    .min(from, { error: `a number from ${from} to ${to}` })
    .max(to, { error: `a number from ${from} to ${to}` })
    .meta({ description: about });

/** A block of keys; keys that are not in it are mistakes. */
export const block = <S extends z.ZodRawShape>(shape: S, about?: string) => {
  const keys = Object.keys(shape);
  const schema = z.strictObject(shape, {
    error: (issue) =>
      issue.code === "unrecognized_keys" ? keys.join(", ") : `a block with ${keys.join(", ")}`,
  });
  return about === undefined ? schema : schema.meta({ description: about });
};

/** A list of blocks or quantities. */
export const listOf = <T extends z.ZodType>(item: T, about: string, least: number, most: number) =>
  z
    .array(item, { error: `a list of ${least} to ${most} entries` })
    .min(least, { error: `a list of ${least} to ${most} entries` })
    .max(most, { error: `a list of ${least} to ${most} entries` })
    .meta({ description: about });

/** One of several forms; the message is about the form that comes nearest to what was written. */
export const oneOf = <const T extends readonly [z.ZodType, z.ZodType, ...z.ZodType[]]>(
  forms: T,
  accepted: string,
) => z.union(forms, { error: accepted });

/**
 * Exactly one of the groups of keys: `exactlyOne([["bore"], ["width", "height"]])`. A group counts as chosen when any
 * of its keys stands there; then all of them must. Give the result to `.check(...)`.
 */
export const exactlyOne = (groups: readonly (readonly string[])[]) =>
  z.superRefine<unknown>((value, context) => {
    if (typeof value !== "object" || value === null) return;
    const has = (key: string): boolean => (value as Record<string, unknown>)[key] !== undefined;
    const chosen = groups.filter((group) => group.some(has));
    const names = groups.map((group) => group.join(" and ")).join(", or ");
    const [only, other] = chosen;
    const fault = (message: string, key?: string): void => {
      context.addIssue({
        code: "custom",
        message,
        ...(key === undefined ? {} : { path: [key] }),
        params: { fault: { code: "E_SCHEMA", message, accepted: names } satisfies FaultDetails },
      });
    };
    if (only === undefined) return fault(`this block needs ${names}`);
    if (other !== undefined)
      return fault(`'${other.find(has)}' does not go with '${only.find(has)}'`, other.find(has));
    const missing = only.find((key) => !has(key));
    if (missing !== undefined) fault(`'${missing}' is missing beside '${only.find(has)}'`);
  });
