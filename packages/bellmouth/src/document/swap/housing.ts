import type * as z from "zod";
import { checkHousing, type DuctSection, type Housing, type Uncertain } from "../../sensor/index.js";
import type { UncertainReading } from "../../text/index.js";
import type { Area, Length } from "../../units/index.js";
import type { BuildContext } from "../document.js";
import { block, exactlyOne, spanField, uncertainField } from "../fields.js";
import { ahead, aheadKeys } from "./ahead.js";

/** A `housing` block. */
export const housingBlock = () =>
  block(
    {
      bore: uncertainField("length", {
        about: "Inner diameter where the element sits.",
        example: "70 mm ± 0.1 mm",
        range: { over: 0, to: 0.5 },
      }).optional(),
      width: uncertainField("length", {
        about: "Inner width of a rectangular duct.",
        example: "80 mm ± 0.2 mm",
        range: { over: 0, to: 0.5 },
      }).optional(),
      height: uncertainField("length", {
        about: "Inner height of a rectangular duct.",
        example: "60 mm ± 0.2 mm",
        range: { over: 0, to: 0.5 },
      }).optional(),
      area: uncertainField("area", {
        about: "Inner area of a duct of another shape.",
        example: "4200 mm^2 ± 40 mm^2",
        range: { over: 0, to: 0.2 },
      }).optional(),
      perimeter: uncertainField("length", {
        about: "Inner perimeter of a duct of another shape.",
        example: "250 mm ± 1 mm",
        range: { over: 0, to: 2 },
      }).optional(),
      blockage: uncertainField("area", {
        about:
          "Area that the probe and its holder take out of the duct; 0 mm^2 when the size given is the open one.",
        example: "520 mm^2 ± 30 mm^2",
        range: { from: 0, to: 0.2 },
      }),
      element: spanField("ratio", {
        about:
          "Where the element sits, as radius over duct radius: 0 the axis, 1 the wall; a span when it covers one.",
        example: "0 .. 0.3",
        range: { from: 0, to: 1 },
      }),
      ...aheadKeys(),
    },
    "Duct around the element.",
  ).check(exactlyOne([["bore"], ["width", "height"], ["area", "perimeter"]]));

/** A `housing` block as the schema reads it. */
export type RawHousing = z.output<ReturnType<typeof housingBlock>>;

/** The value and uncertainty of a reading. */
export const uncertain = <T extends number>(reading: {
  readonly value: T;
  readonly u: number;
}): Uncertain<T> => ({ value: reading.value, u: reading.u });

/** The housing of a block, checked as a whole (a probe must not fill its duct). */
export function buildHousing(raw: RawHousing, path: string, context: BuildContext): Housing | undefined {
  const section = sectionOf(raw);
  if (section === undefined) return undefined;
  const housing: Housing = {
    section,
    blockage: uncertain<Area>(raw.blockage),
    element: { from: raw.element.from, to: raw.element.to },
    ...ahead(raw),
  };
  return context.attempt(path, () => checkHousing(housing));
}

/** The schema has made sure that exactly one shape is given. */
function sectionOf(raw: RawHousing): DuctSection | undefined {
  const length = (reading: UncertainReading<"length">): Uncertain<Length> => uncertain(reading);
  if (raw.bore !== undefined) return { shape: "round", bore: length(raw.bore) };
  if (raw.width !== undefined && raw.height !== undefined) {
    return { shape: "rectangle", width: length(raw.width), height: length(raw.height) };
  }
  if (raw.area !== undefined && raw.perimeter !== undefined) {
    return { shape: "other", area: uncertain<Area>(raw.area), perimeter: length(raw.perimeter) };
  }
  return undefined;
}
