import * as z from "zod";
import { isFault } from "../../fault/index.js";
import type { Dimension } from "../../text/index.js";
import { unitScale } from "../../text/index.js";

// Functions, so that nothing is built before a result is read.

export const number = () => z.number();
export const text = () => z.string();
export const orNull = <T extends z.ZodType>(shape: T) => z.union([shape, z.null()]);
export const list = <T extends z.ZodType>(shape: T, least = 0) => z.array(shape).min(least);
export const pair = () => z.tuple([number(), number()]);

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

export const uncertain = () => z.looseObject({ value: number(), u: number() });

/** An `Estimate`. */
export const estimate = () =>
  z.looseObject({
    value: number(),
    u: number(),
    from: orNull(number()),
    to: orNull(number()),
    confidence: number(),
  });

export const keyFigures = () =>
  list(
    z.looseObject({
      name: text(),
      value: number(),
      low: orNull(number()),
      high: orNull(number()),
      unit: text(),
      meaning: text(),
    }),
  );

const finding = () => z.looseObject({ level: z.enum(["note", "caution"]), code: text(), text: text() });

/** Verdict of what is measured: a sentence and findings. */
export const measuredVerdict = () => z.looseObject({ sentence: text(), findings: list(finding()) });

/** Verdict of what will be driven on: a level as well. */
export const tableVerdict = () =>
  z.looseObject({
    level: z.enum(["ready", "decision needed", "do not use"]),
    sentence: text(),
    findings: list(
      z.looseObject({ level: z.enum(["note", "caution", "danger"]), code: text(), text: text() }),
    ),
  });

/** What every result has. */
export const head = <K extends string>(kind: K) => ({ bellmouth: z.literal(kind), title: text() });
