import * as z from "zod";
import { isFault } from "../fault/index.js";
import type { Dimension } from "../text/index.js";
import { unitScale } from "../text/index.js";
import type { FindingLevel } from "./verdict-level.js";

/**
 * The parts that results are described with. A result's schema is its type (`Out<typeof planResult>`) and what it is read
 * back through, so the three cannot differ. Functions, so that nothing is built before a result is read.
 */

/** The type that a function's schema describes. */
export type Out<Schema extends () => z.ZodType> = z.output<ReturnType<Schema>>;

export const number = () => z.number();
export const whole = () => z.int();
export const text = () => z.string();
export const yes = () => z.boolean();
export const word = <const W extends readonly string[]>(...words: W) => z.enum(words);
export const orNull = <T extends z.ZodType>(shape: T) => z.union([shape, z.null()]);
export const list = <T extends z.ZodType>(shape: T, least = 0) =>
  z.array(shape).min(least) as unknown as z.ZodType<readonly z.output<T>[]>;
export const pair = () => z.tuple([number(), number()]) as z.ZodType<readonly [number, number]>;
export const table = <T extends z.ZodType>(shape: T) =>
  z.record(z.string(), shape) as z.ZodType<{ readonly [key: string]: z.output<T> }>;

/** A record of these keys; keys that it does not know are passed on, so that a later version may add some. */
export const record = <const S extends z.ZodRawShape>(shape: S) =>
  z.looseObject(shape) as unknown as z.ZodType<Readonly<z.output<z.ZodObject<S, z.core.$strip>>>>;

/**
 * A part whose type a computing room declares: what is checked is `schema`, which the compiler holds against that type.
 * Checked is what is shown; the rest is passed on as it stands.
 */
export const partOf =
  <T>() =>
  <S extends z.ZodType>(schema: T extends z.output<S> ? S : never): z.ZodType<T> =>
    schema as unknown as z.ZodType<T>;

/** A unit that a result is shown in. */
export const unit = (...dimensions: readonly Dimension[]) =>
  z.string().refine(
    (name) =>
      dimensions.some((dimension) => {
        try {
          unitScale(name, dimension);
          return true;
        } catch (error) {
          if (isFault(error)) return false;
          throw error;
        }
      }),
    { error: `a unit of ${dimensions.join(" or ")}` },
  );

export const signalKind = () => word("frequency", "voltage");

export const uncertain = () => record({ value: number(), u: number() });

/** An `Estimate`. */
export const estimate = () =>
  record({
    value: number(),
    u: number(),
    from: orNull(number()),
    to: orNull(number()),
    confidence: number(),
  });

const keyFigure = () =>
  record({
    name: text(),
    /** In `unit`, for people: `87.4` of `%`. */
    value: number(),
    /** Ends of the 95 % interval in `unit`; null where there is none. */
    low: orNull(number()),
    high: orNull(number()),
    unit: text(),
    /** What it means, in one sentence. */
    meaning: text(),
  });

export type KeyFigure = Out<typeof keyFigure>;

export const keyFigures = () => list(keyFigure());

const finding = () =>
  record({
    level: z.enum(["note", "caution", "danger"] satisfies FindingLevel[]),
    /** Stable, kebab-case: `extrapolated-cells`, `reads-low`, … */
    code: text(),
    /** One sentence with its figures and units. */
    text: text(),
    /** Indices of the cells it speaks of, where it speaks of some. */
    cells: list(number()).exactOptional(),
  });

/** Something a person should know of a result. */
export type Finding = Out<typeof finding>;

/** Verdict of what is measured: a sentence and findings. */
export const measuredVerdict = () => record({ sentence: text(), findings: list(finding()) });

/** Verdict of what will be driven on: a level as well. */
export const tableVerdict = () =>
  record({
    level: word("ready", "decision needed", "do not use"),
    /** One sentence that answers the user's question. */
    sentence: text(),
    findings: list(finding()),
  });

/** What may be done with a table, and why; see `verdictLevel`. */
export type Verdict = Out<typeof tableVerdict>;

/** What every result has. */
export const head = <const K extends string>(kind: K) => ({ bellmouth: z.literal(kind), title: text() });
