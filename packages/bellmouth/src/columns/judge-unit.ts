import type { ColumnScale, GroupMark } from "./cell.js";
import type { QuantityRule } from "./channel-rules.js";
import { channelName } from "./given.js";
import { quantile, type SampledColumn } from "./sample.js";
import type { StatedFacts } from "./stated-facts.js";
import {
  type ColumnDimension,
  type ColumnUnit,
  columnUnit,
  looksLikeUnit,
  type PressureReference,
  unitsOf,
} from "./unit-words.js";

/** A unit that is beyond doubt, with what makes it so. */
export interface UnitFound {
  readonly kind: "found";
  readonly unit: ColumnUnit;
  readonly scale: ColumnScale;
  readonly group?: GroupMark | undefined;
  readonly reference?: PressureReference | undefined;
  readonly how: string;
}
export interface UnitDoubt {
  readonly kind: "doubt";
  readonly about: "unit" | "scale" | "sense" | "reference";
  readonly text: string;
  readonly choices: readonly ColumnUnit[];
}
export interface UnitMismatch {
  readonly kind: "no";
  readonly reason: string;
}
export type UnitJudgement = UnitFound | UnitDoubt | UnitMismatch;

export interface UnitContext {
  readonly facts: StatedFacts;
  /** Units are those of service data where none is stated. */
  readonly serviceData: boolean;
}

/** Share of values that a unit must leave where the channel's values lie. */
const MOST = 0.9;

/** No sensor in a car puts out more [V]. */
const HIGHEST_VOLTAGE = 20;
/** Nor does one count air at so few pulses a second [Hz]. */
const LOWEST_FREQUENCY = 30;

const apply = (value: number, { factor, offset, reciprocal }: ColumnScale): number =>
  reciprocal === true ? factor / value + offset : value * factor + offset;

/** Whether the column's values can be the channel's under a scale. */
export function fits(values: readonly number[], scale: ColumnScale, rule: QuantityRule): boolean {
  if (values.length === 0) return true;
  const si = values.map((value) => apply(value, scale)).filter(Number.isFinite);
  const inside = si.filter((value) => value >= rule.within[0] && value <= rule.within[1]).length;
  return (
    inside >= MOST * values.filter((value) => value !== 0 || scale.reciprocal !== true).length &&
    quantile(si, 0.98) >= rule.reaches &&
    !(quantile(si, 0.02) > (rule.fallsTo ?? Number.POSITIVE_INFINITY))
  );
}

const found = (
  unit: ColumnUnit,
  scale: ColumnScale,
  how: string,
  more: Partial<UnitFound> = {},
): UnitFound => ({ kind: "found", unit, scale, how, ...more });
const doubt = (about: UnitDoubt["about"], text: string, choices: readonly ColumnUnit[]): UnitDoubt => ({
  kind: "doubt",
  about,
  text,
  choices,
});
const quoted = (column: SampledColumn): string => `"${column.name.slice(0, 60)}"`;
const range = (column: SampledColumn): string =>
  column.numbers.length === 0
    ? "it holds no number"
    : `its values run from ${tidy(quantile(column.numbers, 0))} to ${tidy(quantile(column.numbers, 1))}`;
const tidy = (value: number): string => String(Number(value.toPrecision(6)));

/** A unit that stands at the end of the name itself: `MAF g/s`, `IAT_C`, `Engine RPM`. */
function unitInName(column: SampledColumn, dimension: ColumnDimension): ColumnUnit | undefined {
  const tail = /^(.+?)[\s_,-]+([^\s_,]+(?:\s(?:abs|absolute|gauge))?)$/u.exec(column.name);
  const unit = tail === null ? undefined : columnUnit(dimension, tail[2] ?? "");
  if (unit !== undefined && !/^\d+$/u.test(tail?.[2] ?? "")) return unit;
  if (
    dimension === "rotational speed" &&
    /\brpm\b|\brpms\b|tr\/min|1\/min/iu.test(column.name.replace(/_/gu, " "))
  )
    return columnUnit(dimension, "rpm");
  if (dimension === "mass flow" && /g[/ _]s\b|\bgps\b/iu.test(column.name))
    return columnUnit(dimension, "g/s");
  return undefined;
}

/** Judges in which unit a column would be a channel. */
export function judgeUnit(column: SampledColumn, rule: QuantityRule, context: UnitContext): UnitJudgement {
  const dashed =
    column.unit === "-" && ["ratio", "lambda", "trim", "flag"].every((one) => one !== rule.dimensions[0]);
  const stated = (dashed ? null : column.unit) ?? column.cellUnits[0] ?? null;
  if (stated !== null && column.otherUnit !== undefined) {
    const both = rule.dimensions.flatMap((one) =>
      [stated, column.otherUnit ?? ""].flatMap((text) => columnUnit(one, text) ?? []),
    );
    const distinct = both.filter((unit, i) => both.findIndex(({ name }) => name === unit.name) === i);
    if (distinct.length > 1)
      return doubt(
        "unit",
        `${quoted(column)} has the unit ${stated} in its header and ${column.otherUnit} in the row of units: which is it in?`,
        distinct,
      );
  }
  if (rule.dimensions[0] === "lambda") return judgeLambda(column, stated, context);
  if (rule.dimensions[0] === "trim") return judgeTrim(column, stated, context);
  if (stated !== null && stated !== "") {
    const unit = rule.dimensions.map((one) => columnUnit(one, stated)).find((one) => one !== undefined);
    if (unit !== undefined) return statedUnit(column, rule, unit, stated, context);
    if (looksLikeUnit(stated))
      return { kind: "no", reason: `its unit ${stated} is not one of ${channelName(rule.channel)}` };
    return doubt(
      "unit",
      `${quoted(column)} has the unit "${stated.slice(0, 20)}", which is not known here: in which of these is it?`,
      rule.dimensions.flatMap(unitsOf),
    );
  }
  const named = rule.dimensions.map((one) => unitInName(column, one)).find((one) => one !== undefined);
  if (named !== undefined) return statedUnit(column, rule, named, named.name, context);
  return bareUnit(column, rule, context);
}

/** A unit that the file states: scale, reference and values have to go with it. */
function statedUnit(
  column: SampledColumn,
  rule: QuantityRule,
  unit: ColumnUnit,
  stated: string,
  context: UnitContext,
): UnitJudgement {
  if (unit.dimension === "counts") return countsUnit(column, unit, context);
  const scale = unit.scale as ColumnScale;
  if (unit.dimension === "pressure")
    return pressureUnit(column, rule, unit, scale, `by its header, ${stated}`, context);
  if (rule.channel === "throttle" && unit.name === "1" && quantile(column.numbers, 0.99) > 1.5) {
    const percent = columnUnit("ratio", "%") as ColumnUnit;
    return found(percent, percent.scale as ColumnScale, `% by its values: ${range(column)}`);
  }
  if (rule.channel === "throttle" && unit.name === "%" && smallShares(column))
    return doubt(
      "unit",
      `${quoted(column)} is headed % and never passes ${tidy(quantile(column.numbers, 1))}: is it a fraction?`,
      [unit, columnUnit("ratio", "1") as ColumnUnit],
    );
  const grouped = thousands(column, scale, rule);
  if (grouped !== undefined)
    return found(unit, scale, `by its header, ${stated}; ${grouped.how}`, { group: grouped.group });
  if (possible(column, scale, rule)) return found(unit, scale, `by its header, ${stated}`);
  const others = rule.dimensions
    .flatMap(unitsOf)
    .filter((other) => other.scale !== null && fits(column.numbers, other.scale, rule));
  return doubt(
    "unit",
    `${quoted(column)} is headed ${stated}, but ${range(column)}, which ${channelName(rule.channel)} in ${unit.name} cannot be: in which unit is it?`,
    [unit, ...others],
  );
}

/** Half the values at least must be readings of the quantity at all. */
function possible(column: SampledColumn, scale: ColumnScale, rule: QuantityRule): boolean {
  const si = column.numbers.map((value) => apply(value, scale)).filter(Number.isFinite);
  const [low, high] = rule.possible;
  return si.length === 0 || si.filter((value) => value >= low && value <= high).length >= 0.5 * si.length;
}

/** Marks of thousands that only the values can show: `1.035` as an engine speed in rpm. */
export function thousands(
  column: SampledColumn,
  scale: ColumnScale,
  rule: QuantityRule,
): { readonly group: GroupMark; readonly how: string } | undefined {
  if (column.group1 !== undefined)
    return { group: column.group1, how: `with "${column.group1}" between thousands` };
  if (column.maybeGroup === null) return undefined;
  const mark = column.maybeGroup;
  const asGrouped = column.cells
    .map((cell) => Number(cell.replaceAll(mark, "")))
    .filter((value) => !Number.isNaN(value));
  const marked = column.cells.filter((cell) => cell.includes(mark)).length;
  const plainOnes = column.cells.filter((cell) => !cell.includes(mark)).map(Number);
  // Numbers below a thousand stand without the mark, those above with it: as decimals they would jump a thousandfold.
  const mixed = marked < column.cells.length && quantile(plainOnes, 0.5) > 100;
  const asRead = fits(column.numbers, scale, rule);
  return (mixed || !asRead) && fits(asGrouped, scale, rule)
    ? { group: mark, how: `with "${mark}" between thousands, as its values show` }
    : undefined;
}

function countsUnit(column: SampledColumn, unit: ColumnUnit, { facts }: UnitContext): UnitJudgement {
  if (facts.perCount !== null)
    return found(
      unit,
      { factor: facts.perCount.value, offset: 0 },
      `counts of ${tidy(facts.perCount.value)} ${facts.perCount.unit}, as the file's comments state`,
    );
  return doubt("scale", `${quoted(column)} is in counts: how many volts (or hertz) is one?`, [unit]);
}

function pressureUnit(
  column: SampledColumn,
  rule: QuantityRule,
  unit: ColumnUnit,
  scale: ColumnScale,
  how: string,
  { facts }: UnitContext,
): UnitJudgement {
  const { concepts } = column;
  const si = column.numbers.map((value) => apply(value, scale));
  const negative = si.filter((value) => value < -1000).length > 0.002 * si.length;
  if (rule.channel === "barometer")
    return possible(column, scale, rule)
      ? found(unit, scale, how, { reference: "absolute" })
      : doubt(
          "unit",
          `${quoted(column)} is headed ${unit.name}, but ${range(column)}, which no barometer shows: in which unit is it?`,
          [
            unit,
            ...unitsOf("pressure").filter(
              (other) => other.scale !== null && fits(column.numbers, other.scale, rule),
            ),
          ],
        );
  const word: PressureReference | undefined =
    unit.reference ??
    (concepts.has("vacuum")
      ? "below-outside"
      : concepts.has("absolute")
        ? "absolute"
        : concepts.has("gauge") || concepts.has("relative")
          ? "gauge"
          : (facts.pressure ?? undefined));
  const absoluteFits = !negative && fits(column.numbers, scale, rule);
  if (word === "absolute") {
    // "MAP" says absolute by its letters; psi and inHg are as often shown against the outside air.
    const loose =
      unit.reference === undefined &&
      ["psi", "inHg", "bar", "mmHg"].includes(unit.name) &&
      facts.pressure !== "absolute" &&
      !/\babs/iu.test(column.name);
    if (!negative && possible(column, scale, rule) && (!loose || quantile(si, 0.02) > 15_000))
      return found(unit, scale, how, { reference: "absolute" });
    if (negative)
      return found(unit, scale, `${how}; above and below the outside air, since it is below zero at times`, {
        reference: "gauge",
      });
    return doubt(
      "reference",
      `${quoted(column)} is in ${unit.name}, and ${range(column)}: from what is it measured?`,
      [unit],
    );
  }
  if (word !== undefined) return found(unit, scale, how, { reference: word });
  if (negative)
    return found(unit, scale, `${how}; it is below zero at times, so it is measured from the outside air`, {
      reference: "gauge",
    });
  // Never at or below the outside air: a gauge reading would mean boost without end, from idle on.
  const gaugeFits = quantile(si, 0.05) < 6_000 || quantile(si, 0.02) > 75_000;
  if (absoluteFits && !gaugeFits && !["psi", "inHg"].includes(unit.name))
    return found(unit, scale, `${how}; absolute by its values`, { reference: "absolute" });
  return doubt(
    "reference",
    `${quoted(column)} is in ${unit.name}, and ${range(column)}: from what is it measured?`,
    [unit],
  );
}

/** A name that says what kind of signal it is leaves only that kind's units. */
function suitsName({ concepts }: SampledColumn, unit: string, dimension: ColumnDimension): boolean {
  if (dimension !== "frequency" && dimension !== "voltage" && dimension !== "counts") return true;
  const periods = unit === "us" || unit === "ms";
  if (concepts.has("frequency")) return dimension === "frequency" && !periods;
  if (concepts.has("period")) return periods;
  if (concepts.has("voltage")) return dimension === "voltage";
  return true;
}

/** No unit anywhere. */
function bareUnit(column: SampledColumn, rule: QuantityRule, context: UnitContext): UnitJudgement {
  if (rule.channel === "closedLoop" || rule.channel === "fuelCut") {
    const unit = columnUnit("flag", "1") as ColumnUnit;
    return column.numbers.every((value) => value === 0 || value === 1) && column.numbers.length > 0
      ? found(unit, unit.scale as ColumnScale, "0 or 1")
      : { kind: "no", reason: "it is a flag in words or codes, which are not read" };
  }
  if (context.serviceData && rule.service !== null) {
    const unit = columnUnit(rule.dimensions[0] as ColumnDimension, rule.service) as ColumnUnit;
    const scale = unit.scale as ColumnScale;
    const grouped = thousands(column, scale, rule);
    if (grouped !== undefined)
      return found(unit, scale, `${rule.service}, as service data have it; ${grouped.how}`, {
        group: grouped.group,
      });
    if (fits(column.numbers, scale, rule) || possible(column, scale, rule))
      return found(
        unit,
        scale,
        `${rule.service}, as service data have it`,
        rule.dimensions[0] === "pressure" ? { reference: "absolute" } : {},
      );
    return doubt(
      "unit",
      `${quoted(column)} would be ${rule.service} in service data, but ${range(column)}: in which unit is it?`,
      rule.dimensions.flatMap(unitsOf),
    );
  }
  const all = rule.dimensions.flatMap(unitsOf);
  const able = all.filter(
    ({ name, dimension, scale }) =>
      suitsName(column, name, dimension) &&
      name !== "rad/s" &&
      !(
        dimension === "frequency" &&
        scale !== null &&
        quantile(
          column.numbers.map((value) => apply(value, scale)),
          0.9,
        ) < LOWEST_FREQUENCY
      ) &&
      scale !== null &&
      fits(column.numbers, scale, rule) &&
      !(dimension === "voltage" && quantile(column.numbers, 0.9) * scale.factor > HIGHEST_VOLTAGE),
  );
  const [only] = able;
  const sure =
    able.length === 1 &&
    only !== undefined &&
    column.numbers.length >= 3 &&
    (rule.dimensions[0] !== "frequency" ||
      ["frequency", "period", "voltage"].some((one) => column.concepts.has(one as "period"))) &&
    rule.dimensions[0] !== "mass flow";
  if (rule.channel === "throttle" && quantile(column.numbers, 0.99) > 5.5 && only !== undefined) {
    if (column.concepts.has("angle"))
      return doubt("unit", `In which unit is ${quoted(column)}? ${sentence(range(column))}.`, all);
    return found(
      columnUnit("ratio", "%") as ColumnUnit,
      { factor: 0.01, offset: 0 },
      `% by its values: ${range(column)}`,
    );
  }
  if (sure) {
    const scale = only.scale as ColumnScale;
    if (only.dimension === "pressure" && rule.channel !== "barometer")
      return pressureUnit(column, rule, only, scale, `${only.name} by its values: ${range(column)}`, context);
    return found(only, scale, `${only.name} by its values: ${range(column)}`);
  }
  return doubt(
    "unit",
    `In which unit is ${quoted(column)}? ${sentence(range(column))}.`,
    able.length > 0 ? able : all,
  );
}

const sentence = (text: string): string => text.slice(0, 1).toUpperCase() + text.slice(1);
/** Shares that never pass one in a hundred, finely written: a fraction under a percent sign looks like that. */
const smallShares = (column: SampledColumn): boolean => {
  const sizes = column.numbers.map(Math.abs);
  return quantile(sizes, 1) <= 1.05 && new Set(sizes.filter((value) => value > 0)).size > 8;
};

function judgeLambda(
  column: SampledColumn,
  stated: string | null,
  { facts, serviceData }: UnitContext,
): UnitJudgement {
  const { concepts } = column;
  const [lambda, phi, afr, percent] = unitsOf("lambda") as readonly [
    ColumnUnit,
    ColumnUnit,
    ColumnUnit,
    ColumnUnit,
  ];
  const middle = quantile(
    column.numbers.filter((value) => value > 0),
    0.5,
  );
  const asAfr = (how: string): UnitJudgement => {
    const own = /(\d{1,2}[.,]\d+)/u.exec(`${column.name} ${stated ?? ""}`)?.[1];
    const stoichiometric = own === undefined ? facts.stoichiometric : Number(own.replace(",", "."));
    if (stoichiometric !== null && stoichiometric >= 6 && stoichiometric <= 18)
      return found(
        afr,
        { factor: 1 / stoichiometric, offset: 0 },
        `${how}, lambda x ${stoichiometric} as the file states`,
      );
    return doubt(
      "scale",
      `${quoted(column)} is an air-fuel ratio: which ratio stands for lambda 1 in it (the gauge's setting, not the fuel's)?`,
      [afr],
    );
  };
  if (Number.isNaN(middle) && column.numbers.length > 0)
    return { kind: "no", reason: "it is never above zero: not supported by the ECU" };
  const text = stated ?? "";
  const unit =
    text === ""
      ? undefined
      : (columnUnit("lambda", text) ??
        (/afr|lambda|λ|a\/f/iu.test(text) && /\d/u.test(text) ? afr : undefined));
  if (text !== "" && unit === undefined) {
    if (looksLikeUnit(text))
      return { kind: "no", reason: `its unit ${text} is that of a sensor's signal, not of lambda` };
    return doubt(
      "unit",
      `${quoted(column)} has the unit "${text.slice(0, 20)}", which is not known here: what is it?`,
      [lambda, phi, afr],
    );
  }
  if (
    unit?.name === "AFR" ||
    (concepts.has("afr") && !concepts.has("equivalence") && unit === undefined) ||
    (concepts.has("afr") &&
      !concepts.has("lambda") &&
      !concepts.has("equivalence") &&
      unit?.name === "lambda" &&
      middle > 3)
  ) {
    if (middle < 3) {
      // Headed as an air-fuel ratio, written about 1.
      return doubt(
        "sense",
        `${quoted(column)} is named an air-fuel ratio, but ${range(column)}: what is it?`,
        [lambda, phi],
      );
    }
    return asAfr("air-fuel ratio");
  }
  if (unit?.name === "equivalence ratio")
    return found(phi, phi.scale as ColumnScale, `by its header: the reciprocal of lambda`);
  if (unit?.name === "%")
    return middle > 30
      ? found(percent, percent.scale as ColumnScale, "by its header, %")
      : doubt("unit", `${quoted(column)} is headed %, but ${range(column)}: what is it?`, [lambda, phi]);
  if (middle > 6)
    return concepts.has("phi")
      ? doubt("scale", `${quoted(column)}: ${range(column)}: what is it?`, [afr])
      : asAfr(`an air-fuel ratio by its values (${range(column)})`);
  const named = unit !== undefined && /lambda|λ|^la[m]?$/iu.test(text);
  if (named || concepts.has("lambda")) {
    if (concepts.has("phi")) return doubt("sense", senseText(column), [lambda, phi]);
    return found(lambda, lambda.scale as ColumnScale, named ? `by its header, ${text}` : "by its name");
  }
  if (concepts.has("phi"))
    return found(phi, phi.scale as ColumnScale, "by its name: the reciprocal of lambda");
  if (concepts.has("equivalence")) {
    if (concepts.has("afr") && !concepts.has("fuel"))
      return found(lambda, lambda.scale as ColumnScale, "by its name: air over fuel");
    if (facts.equivalence !== null)
      return facts.equivalence === "phi"
        ? found(phi, phi.scale as ColumnScale, "the reciprocal of lambda, as the file states")
        : found(lambda, lambda.scale as ColumnScale, "lambda, as the file states");
    if (serviceData) return found(lambda, lambda.scale as ColumnScale, "lambda, as service data have it");
    if (column.numbers.every((value) => value === 1))
      return found(lambda, lambda.scale as ColumnScale, "1 throughout, the same in either sense");
    return doubt("sense", senseText(column), [lambda, phi]);
  }
  // "Wideband" alone: a number about 1 may be either.
  return doubt("sense", senseText(column), [lambda, phi]);
}

const senseText = (column: SampledColumn): string =>
  `Is ${quoted(column)} lambda (above 1 is lean) or its reciprocal (above 1 is rich)? Equivalence ratios are written both ways`;

function judgeTrim(
  column: SampledColumn,
  stated: string | null,
  { facts, serviceData }: UnitContext,
): UnitJudgement {
  const [percent, fraction, factor, hundred] = unitsOf("trim") as readonly [
    ColumnUnit,
    ColumnUnit,
    ColumnUnit,
    ColumnUnit,
  ];
  const values = column.numbers;
  const [low, high, middle] = [quantile(values, 0), quantile(values, 1), quantile(values, 0.5)];
  const take = (unit: ColumnUnit, how: string): UnitFound => found(unit, unit.scale as ColumnScale, how);
  const aboutHundred = values.length > 0 && low > 40 && high < 200 && middle > 75 && middle < 130;
  const aboutOne = values.length > 0 && low > 0.4 && high < 2 && middle > 0.75 && middle < 1.3;
  const text = stated ?? "";
  const unit =
    text === "" ? (/%/u.test(column.name) ? percent : unitInName(column, "trim")) : columnUnit("trim", text);
  const plainNumber = text !== "" && unit === undefined && columnUnit("ratio", text)?.name === "1";
  if (text !== "" && unit === undefined && !plainNumber)
    return looksLikeUnit(text)
      ? { kind: "no", reason: `its unit ${text} is not one of a trim` }
      : doubt(
          "unit",
          `${quoted(column)} has the unit "${text.slice(0, 20)}", which is not known here: what is it?`,
          [percent, fraction, factor],
        );
  if (unit !== undefined && unit.name !== "%") return take(unit, `by its header, ${text}`);
  const zero = values.every((value) => value === 0);
  if (unit?.name === "%") {
    if (aboutHundred) return take(hundred, "% with 100 for no trim, by its values");
    if (!zero && smallShares(column) && high <= 0.6 && low >= -0.6 && facts.trim !== "%")
      return doubt(
        "unit",
        `${quoted(column)} is headed %, but never passes ${tidy(Math.max(high, -low))} %: is it a fraction?`,
        [percent, fraction],
      );
    if (aboutOne && new Set(values).size > 8)
      return doubt("unit", `${quoted(column)} is headed %, but ${range(column)}: is it a factor?`, [
        percent,
        factor,
      ]);
    return take(percent, `by its header, ${text === "" ? "%" : text}`);
  }
  if (facts.trim !== null && !plainNumber)
    return take(
      facts.trim === "factor" ? factor : facts.trim === "fraction" ? fraction : percent,
      `${facts.trim}, as the file's comments state`,
    );
  if (plainNumber) {
    if (aboutOne) return take(factor, "a factor by its values");
    if (low >= -0.6 && high <= 1) return take(fraction, "a fraction by its values");
    if (aboutHundred) return take(hundred, "% with 100 for no trim, by its values");
    return doubt("unit", `${quoted(column)} is headed "${text}", but ${range(column)}: what is it?`, [
      percent,
      fraction,
      factor,
    ]);
  }
  if (aboutHundred) return take(hundred, "% with 100 for no trim, by its values");
  if (values.length > 0 && zero) return take(percent, "0 throughout, the same in any unit");
  if (serviceData && !aboutOne) {
    if (smallShares(column) && high <= 0.6 && low >= -0.6)
      return doubt(
        "unit",
        `${quoted(column)} would be % in service data, but never passes ${tidy(Math.max(high, -low))}: is it a fraction?`,
        [percent, fraction],
      );
    return take(percent, "%, as service data have it");
  }
  if (high > 2 || low < -0.6) return take(percent, `% by its values: ${range(column)}`);
  if (aboutOne)
    return doubt(
      "unit",
      `Is ${quoted(column)} a factor (1.03 for 3 % more fuel) or %? ${sentence(range(column))}.`,
      [factor, percent],
    );
  return doubt("unit", `In which unit is ${quoted(column)}? ${sentence(range(column))}.`, [
    percent,
    fraction,
  ]);
}
