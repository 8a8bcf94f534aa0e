import { BellmouthError, type FaultPlace } from "../fault/index.js";
import { convertByMath } from "./math-units.js";
import { didYouMean, shown } from "./nearest.js";
import { leadingNumber } from "./number-text.js";
import {
  type Dimension,
  familyOf,
  REFUSED_UNITS,
  SI_UNITS,
  type UnitEntry,
  unitEntry,
  unitSpellings,
  unitsFor,
} from "./unit-list.js";

/** How a column or number becomes SI: `si = number * factor + offset`. The offset is zero except for temperatures. */
export interface UnitScale {
  readonly dimension: Dimension;
  /** Spelling to write with, for example `kPa absolute`. */
  readonly unit: string;
  readonly factor: number;
  readonly offset: number;
}

const cache = new Map<string, UnitScale>();

/**
 * Scale of a unit given as text, for a field of the given dimension. mathjs computes it, once for each unit, and
 * its dimension is checked against the SI unit of the field.
 *
 * Pressures say what they are measured from. A field of dimension `pressure` is absolute and needs the word:
 * `kPa absolute` (`abs` will do) or `psia`; a field of dimension `pressure difference` takes the bare unit, or
 * `kPa gauge`, `psig`. A volume flow becomes a mass flow only with the density it was counted at:
 * `cfm at 1.204 kg/m^3`.
 *
 * @param text unit as written, without the number
 * @throws `E_UNIT` when unknown, of another dimension, of the wrong kind of pressure, or missing
 * @example
 * unitScale("lb/min", "mass flow").factor // ≈ 0.00755987
 * unitScale("degF", "temperature").offset // ≈ 255.3722
 */
export function unitScale(text: string, dimension: Dimension, at: FaultPlace = {}): UnitScale {
  const written = text.trim().replace(/\s+/gu, " ");
  const key = `${dimension}|${written}`;
  const known = cache.get(key);
  if (known !== undefined) return known;
  const scale = makeScale(written, dimension, at);
  // Bounded, because the density in 'cfm at …' makes endless spellings.
  if (cache.size < 500) cache.set(key, scale);
  return scale;
}

const refuse = (message: string, written: string, dimension: Dimension, at: FaultPlace): never => {
  throw new BellmouthError({
    code: "E_UNIT",
    message,
    found: written === "" ? "no unit" : `'${shown(written)}'`,
    accepted: unitsFor(dimension).join(", "),
    at,
  });
};

function makeScale(written: string, dimension: Dimension, at: FaultPlace): UnitScale {
  if (written === "") {
    if (dimension === "ratio") return { dimension, unit: "", factor: 1, offset: 0 };
    return refuse(`a number for a ${dimension} needs its unit`, written, dimension, at);
  }
  const counted = /^(.+?) at (.+)$/u.exec(written);
  if (counted !== null) return countedScale(counted[1] ?? "", counted[2] ?? "", dimension, at);
  const worded = /^(.+?) (absolute|abs|gauge)$/u.exec(written);
  const name = worded === null ? written : (worded[1] ?? "");
  const entry = unitEntry(name) ?? unknownUnit(name, written, dimension, at);
  const kind = pressureKind(entry, worded?.[2], written, dimension, at);
  if (entry.family !== familyOf(dimension)) wrongFamily(entry, written, dimension, at);
  if (dimension === "pressure" && kind === undefined) {
    refuse(
      `a pressure here is absolute, measured from vacuum: write '${entry.spelling} absolute' if it is, else add the barometer to it first`,
      written,
      dimension,
      at,
    );
  }
  if (dimension === "pressure" && kind === "gauge") {
    refuse(
      "a gauge pressure where an absolute one is needed: add the barometer to it first",
      written,
      dimension,
      at,
    );
  }
  if (dimension === "pressure difference" && kind === "absolute") {
    refuse("an absolute pressure where a difference is needed", written, dimension, at);
  }
  const unit =
    dimension === "pressure" && entry.kind === undefined ? `${entry.spelling} absolute` : entry.spelling;
  if (entry.family === "ratio") return { dimension, unit, factor: unit === "%" ? 0.01 : 1, offset: 0 };
  if (entry.family === "count") return { dimension, unit, factor: 1, offset: 0 };
  return { dimension, unit, ...byMath(entry, dimension) };
}

/** Factor and offset from mathjs, its dimension checked. */
function byMath(entry: UnitEntry, dimension: Dimension): { factor: number; offset: number } {
  const si = SI_UNITS[dimension].expression;
  const ofTemperature = dimension === "temperature" || dimension === "temperature difference";
  const factor = convertByMath(1, ofTemperature ? (entry.step ?? entry.expression) : entry.expression, si);
  const offset = dimension === "temperature" ? convertByMath(0, entry.expression, si) : 0;
  if (factor !== undefined && offset !== undefined) return { factor, offset };
  throw new BellmouthError({
    code: "E_UNIT",
    message: `the unit list is wrong: ${entry.spelling} is not a ${dimension}`,
  });
}

/** `cfm at 1.204 kg/m^3`: a volume flow with the density it was counted at. */
function countedScale(flow: string, density: string, dimension: Dimension, at: FaultPlace): UnitScale {
  const written = `${flow} at ${density}`;
  if (dimension !== "mass flow") {
    return refuse("'at' belongs to a volume flow that stands for a mass flow", written, dimension, at);
  }
  const volume = unitScale(flow, "volume flow", at);
  const lead = leadingNumber(density);
  if (lead === undefined || lead.rest === "") {
    return refuse("after 'at' stands a density, as in 'cfm at 1.204 kg/m^3'", written, dimension, at);
  }
  const scale = unitScale(lead.rest, "density", at);
  const value = Number(lead.number) * scale.factor;
  // Gases an intake can hold; also keeps out a density typed in the wrong unit.
  if (!(value > 0.1 && value < 20)) {
    return refuse("that is not a density of air", written, dimension, at);
  }
  return {
    dimension,
    unit: `${volume.unit} at ${lead.number} ${scale.unit}`,
    factor: volume.factor * value,
    offset: 0,
  };
}

function pressureKind(
  entry: UnitEntry,
  word: string | undefined,
  written: string,
  dimension: Dimension,
  at: FaultPlace,
): "absolute" | "gauge" | undefined {
  if (word === undefined) return entry.kind;
  if (entry.family !== "pressures") refuse(`'${word}' belongs to pressures only`, written, dimension, at);
  if (entry.kind !== undefined)
    refuse(`'${entry.spelling}' says ${entry.kind} already`, written, dimension, at);
  return word === "gauge" ? "gauge" : "absolute";
}

function unknownUnit(name: string, written: string, dimension: Dimension, at: FaultPlace): never {
  const reason = Object.hasOwn(REFUSED_UNITS, name.toLowerCase())
    ? REFUSED_UNITS[name.toLowerCase()]
    : undefined;
  const family = familyOf(dimension);
  // Spellings that fit the field come first, so that 'LB/MIN' is led to lb/min.
  const fitting = unitSpellings().filter((spelling) => unitEntry(spelling)?.family === family);
  const hint = didYouMean(name, fitting) || didYouMean(name, unitSpellings());
  return refuse(
    reason === undefined ? `not a unit this reads${hint}` : `not a unit this reads: ${reason}`,
    written,
    dimension,
    at,
  );
}

function wrongFamily(entry: UnitEntry, written: string, dimension: Dimension, at: FaultPlace): never {
  const measures = entry.family.replace(/^(pressure|temperature)s$/u, "$1");
  const more =
    dimension === "mass flow" && entry.family === "volume flow"
      ? `; a volume is no mass until its density is known: write '${entry.spelling} at 1.204 kg/m^3' with the density it was counted at`
      : "";
  return refuse(`the unit of a ${measures} where a ${dimension} is meant${more}`, written, dimension, at);
}
