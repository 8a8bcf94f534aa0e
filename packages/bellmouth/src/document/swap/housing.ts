import { checkHousing, type DuctSection, type Housing, type Uncertain } from "../../sensor/index.js";
import type { SpanReading, UncertainReading } from "../../text/index.js";
import type { Area, Length } from "../../units/index.js";
import type { BuildContext } from "../document.js";

/** A `housing` block as the schema reads it. */
export interface RawHousing {
  readonly bore?: UncertainReading<"length"> | undefined;
  readonly width?: UncertainReading<"length"> | undefined;
  readonly height?: UncertainReading<"length"> | undefined;
  readonly area?: UncertainReading<"area"> | undefined;
  readonly perimeter?: UncertainReading<"length"> | undefined;
  readonly blockage: UncertainReading<"area">;
  readonly element: SpanReading<"ratio">;
  readonly development: UncertainReading<"ratio">;
}

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
    development: uncertain(raw.development),
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
