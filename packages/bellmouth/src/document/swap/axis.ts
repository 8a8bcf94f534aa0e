import { BellmouthError } from "../../fault/index.js";
import type { Dimension, QuantityReading } from "../../text/index.js";
import { columnOf, readTable, requireRising, requireRows, risingBy } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import { block, choiceField } from "../fields.js";
import { openTable, type TableFile, tableFileField } from "../table-file.js";

/** Most breakpoints of a table in an ECU that this plans for; tables to read may be longer. */
export const LONGEST_AXIS = 4096;

/** What the ECU does beyond the table's ends. */
export const outsideField = () =>
  choiceField(
    ["hold", "extend"],
    "What the ECU does beyond the table's ends: hold the last value, or carry the last line on.",
  );

export const fitField = () =>
  choiceField(
    ["minimax", "sample"],
    "minimax: breakpoint values that make the ECU's straight lines fit the curve; sample: values of the curve.",
  );

export const axisFileBlock = () =>
  block({
    file: tableFileField("Text with the breakpoints in one column.", "ecu-axis.csv", "breakpoint"),
  });

/** Breakpoints from a file with one column of the given dimension, whatever its name. */
export function axisFromFile(
  raw: TableFile,
  dimension: Dimension,
  path: string,
  context: BuildContext,
): readonly number[] | undefined {
  return context.attempt(path, () => {
    const { text, ...options } = openTable(raw, context);
    const read = readTable(
      text,
      [
        {
          name: "breakpoint",
          aliases: [
            "breakpoints",
            "axis",
            "signal",
            "frequency",
            "voltage",
            "count",
            "counts",
            "resistance",
            "temperature",
          ],
          dimensions: [dimension],
          holds: "breakpoint",
        },
      ],
      options,
    );
    const table = risingBy(read, "breakpoint");
    requireRows(table, 2);
    requireRising(table, "breakpoint");
    if (table.rows > LONGEST_AXIS) {
      throw new BellmouthError({
        code: "E_TOO_LARGE",
        message: "more breakpoints than an ECU's table has",
        found: `${table.rows}`,
        accepted: `at most ${LONGEST_AXIS}`,
        at: table.placeOf(LONGEST_AXIS, "breakpoint"),
      });
    }
    return columnOf(table, "breakpoint").values;
  });
}

/** Breakpoints from a list in the document: all of one dimension, rising. */
export function axisFromList(
  list: readonly QuantityReading[],
  dimension: Dimension,
  path: string,
  context: BuildContext,
): readonly number[] | undefined {
  let good = true;
  let before: QuantityReading | undefined;
  list.forEach((reading, i) => {
    const at = `${path}[${i}]`;
    if (reading.dimension !== dimension) {
      good = false;
      context.fault(at, {
        code: dimension === "frequency" || dimension === "voltage" ? "E_SIGNAL_KIND" : "E_UNIT",
        message: `a ${reading.dimension} on an axis of ${dimension}`,
        found: `'${reading.text}'`,
        accepted: `a ${dimension}`,
      });
    } else if (before !== undefined && !(reading.value > before.value)) {
      good = false;
      context.fault(at, {
        code: "E_ORDER",
        message: "breakpoints must rise strictly",
        found: `'${reading.text}' after '${before.text}'`,
        accepted: `more than ${before.text}`,
      });
    }
    before = reading;
  });
  return good ? list.map((reading) => reading.value) : undefined;
}

/** Evenly spaced breakpoints, both ends included. */
export function axisFromSteps(from: number, to: number, count: number): readonly number[] {
  return Array.from({ length: count }, (_, i) =>
    i === count - 1 ? to : from + ((to - from) * i) / (count - 1),
  );
}
