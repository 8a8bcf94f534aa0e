import type { ChannelRule, ColumnChannel } from "./channel-rules.js";
import { channelKey, channelName, type GivenRef } from "./given.js";
import type { UnitDoubt, UnitFound } from "./judge-unit.js";
import { type Choice, type ColumnQuestion, choice } from "./question.js";
import type { SampledColumn } from "./sample.js";
import { type ColumnUnit, columnUnit } from "./unit-words.js";

/** How a document names a column: by its name, or by its number where the name would not do. */
export const refOf = (columns: readonly SampledColumn[], column: SampledColumn): GivenRef =>
  columns.filter(({ name }) => name === column.name).length > 1 || /^\d+$/u.test(column.name)
    ? column.index + 1
    : column.name;

export const numbered = (columns: readonly SampledColumn[]): ColumnQuestion["columns"] =>
  columns.map(({ index, name }) => ({ number: index + 1, name }));

/** The columns of one channel as the value of its key. */
function place(
  all: readonly SampledColumn[],
  fits: readonly SampledColumn[],
): { readonly column: GivenRef } | { readonly columns: readonly GivenRef[]; readonly combine: string } {
  const [first] = fits as readonly [SampledColumn];
  return fits.length === 1
    ? { column: refOf(all, first) }
    : { columns: fits.map((column) => refOf(all, column)), combine: "mean" };
}

/** What a unit needs beside it: the scale of an air-fuel ratio or of counts, what a pressure is measured from. */
function unitChoices(
  unit: ColumnUnit,
  at: object,
  channel: ColumnChannel,
  barometer: boolean,
): readonly Choice[] {
  const key = channelKey(channel);
  const one = (text: string, more: object, fill = false): Choice =>
    choice(text, { [key]: { ...at, ...more } as never }, fill);
  if (unit.name === "AFR")
    return [
      one("an air-fuel ratio, with the ratio of lambda 1", { unit: "AFR", stoichiometric: 14.7 }, true),
    ];
  if (unit.dimension === "counts")
    return [one("counts, with their scale", { unit: "counts", scale: "5 V / 1023" }, true)];
  if (unit.dimension === "pressure" && channel === "manifoldPressure") {
    const outside = barometer ? {} : { barometer: "100 kPa absolute" };
    return [
      one(`${unit.name}, absolute`, { unit: `${unit.name} absolute` }),
      one(`${unit.name}, above the outside air`, { unit: `${unit.name} gauge`, ...outside }, !barometer),
      one(
        `${unit.name}, below the outside air`,
        { unit: unit.name, reads: "below-outside", ...outside },
        !barometer,
      ),
    ];
  }
  return [one(unit.name, { unit: unit.name })];
}

/** The question that a doubt about a unit is. */
export function unitQuestion(
  all: readonly SampledColumn[],
  fits: readonly SampledColumn[],
  rule: ChannelRule,
  doubt: UnitDoubt,
  barometer: boolean,
): ColumnQuestion {
  const [column] = fits as readonly [SampledColumn];
  const at = place(all, fits);
  const choices = doubt.choices.flatMap((unit) =>
    unitChoices(
      unit,
      at,
      unit.dimension === "frequency" || unit.dimension === "voltage" ? "signal" : rule.channel,
      barometer,
    ),
  );
  // A bare "MAF" may be the sensor's signal as well.
  const maySignal =
    rule.channel === "airflow" &&
    doubt.about === "unit" &&
    column.unit === null &&
    column.concepts.has("meter");
  const signals = maySignal
    ? (["Hz", "V"] as const).flatMap((name) => {
        const unit = columnUnit(name === "Hz" ? "frequency" : "voltage", name);
        return unit === undefined
          ? []
          : [choice(`the sensor's signal in ${name}`, { signal: { ...at, unit: name } as never })];
      })
    : [];
  return {
    kind: doubt.about,
    about: rule.channel,
    columns: numbered(fits),
    text: `${channelName(rule.channel)}: ${doubt.text}`,
    choices: [...choices, ...signals, choice("not used", { ignore: fits.map((one) => refOf(all, one)) })],
  };
}

/** Which of several columns is the channel. */
export function whichColumn(
  all: readonly SampledColumn[],
  fits: readonly SampledColumn[],
  channel: ColumnChannel,
): ColumnQuestion {
  return {
    kind: "which column",
    about: channel,
    columns: numbered(fits),
    text: `${channelName(channel)}: which of ${fits.map(({ name }) => `"${name.slice(0, 60)}"`).join(", ")} is it?`,
    choices: fits.map((column) =>
      choice(`"${column.name}"`, {
        [channelKey(channel)]: { column: refOf(all, column), ...(column.unit === null ? {} : {}) },
      }),
    ),
  };
}

/** Which channel one column is. */
export function whichChannel(
  all: readonly SampledColumn[],
  column: SampledColumn,
  channels: readonly ColumnChannel[],
): ColumnQuestion {
  return {
    kind: "which channel",
    about: channels[0] as ColumnChannel,
    columns: numbered([column]),
    text: `Is "${column.name.slice(0, 60)}" ${channels.map(channelName).join(" or ")}?`,
    choices: [
      ...channels.map((channel) =>
        choice(channelName(channel), { [channelKey(channel)]: { column: refOf(all, column) } }),
      ),
      choice("neither", { ignore: [refOf(all, column)] }),
    ],
  };
}

/** Whether a column headed as an air-fuel ratio is the measured or the commanded one, its scale asked for beside. */
export function measuredOrCommanded(
  all: readonly SampledColumn[],
  column: SampledColumn,
  judged: UnitFound | UnitDoubt,
  hasMeasured: boolean,
): ColumnQuestion {
  const ref = refOf(all, column);
  const known = judged.kind === "found";
  const unit = known ? judged.unit.name : "AFR";
  const scale =
    unit === "AFR" ? { stoichiometric: known ? Number((1 / judged.scale.factor).toPrecision(6)) : 14.7 } : {};
  const one = (text: string, key: string): Choice =>
    choice(text, { [key]: { column: ref, unit, ...scale } }, !known);
  const scaleToo = known
    ? ""
    : ", and which ratio stands for lambda 1 in it (the gauge's setting, not the fuel's)";
  return {
    kind: known ? "which channel" : judged.about,
    about: "lambda",
    columns: numbered([column]),
    text: `lambda: is "${column.name.slice(0, 60)}" an air-fuel ratio that a sensor measured, or the one that the ECU commands${scaleToo}?`,
    choices: [
      ...(hasMeasured ? [] : [one("measured by a wideband sensor", channelKey("lambda"))]),
      one("commanded by the ECU", channelKey("lambdaTarget")),
      choice("not used", { ignore: [ref] }),
    ],
  };
}

/** Two columns of metered air: banks that add up, or two names of one flow. `units` are theirs, in turn. */
export function bankQuestion(
  all: readonly SampledColumn[],
  fits: readonly SampledColumn[],
  units: readonly string[],
): ColumnQuestion {
  const refs = fits.map((column) => refOf(all, column));
  const unit = new Set(units).size === 1 ? (units[0] as string) : units;
  return {
    kind: "banks",
    about: "airflow",
    columns: numbered(fits),
    text: `airflow: are ${fits.map(({ name }) => `"${name.slice(0, 60)}"`).join(" and ")} the flows of two banks, which add up, or is each the whole?`,
    choices: [
      choice("two banks: the sum is the engine's air", { airflow: { columns: refs, combine: "sum", unit } }),
      choice("each is the whole: their mean", { airflow: { columns: refs, combine: "mean", unit } }),
      ...fits.map((column, i) =>
        choice(`"${column.name}" is the whole`, {
          airflow: { column: refs[i] as GivenRef, unit: units[i] as string },
        }),
      ),
    ],
  };
}

export const longTrimQuestion = (short: readonly SampledColumn[]): ColumnQuestion => ({
  kind: "long trim",
  about: "longTrim",
  columns: numbered(short),
  text: "long trim: the file has a short trim and no long one. What the long trim holds is missing from the correction: was it reset to 0 before the drive and held there?",
  choices: [choice("it was reset to 0", { "long-trim": "reset to 0" })],
});

export const splitQuestion = (all: readonly SampledColumn[], column: SampledColumn): ColumnQuestion => ({
  kind: "split",
  about: "split",
  columns: numbered([column]),
  text: `Does a change in "${column.name.slice(0, 60)}" begin another drive?`,
  choices: [choice("yes", { split: refOf(all, column) }), choice("no", { ignore: [refOf(all, column)] })],
});

export function timeQuestion(
  all: readonly SampledColumn[],
  text: string,
  columns: readonly number[],
  units: readonly string[],
): ColumnQuestion {
  const about = columns.map((index) => all[index] as SampledColumn);
  return {
    kind: "time",
    about: "time",
    columns: numbered(about),
    text: `time: ${text}?`,
    choices: [
      ...about.flatMap((column) =>
        units.map((unit) =>
          choice(`"${column.name}" in ${unit}`, { time: { column: refOf(all, column), unit } }),
        ),
      ),
      choice("rows are this far apart", { "rows-every": "0.1 s" }, true),
      choice("not known: each row stands on its own", { "rows-every": "unknown" }),
    ],
  };
}
