import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type { Housing, SignalKind } from "../../sensor/index.js";
import type { BuildContext } from "../document.js";
import { anySpanField, block, choiceField, oneOf, quantityField } from "../fields.js";
import { type AirflowTable, readMeterTable } from "../sensor-tables.js";
import { openTable, type TableFile, tableFileField } from "../table-file.js";
import { buildHousing, housingBlock } from "./housing.js";
import { type SignalSpan, signalSpanOf } from "./signal.js";
import { transferBlock } from "./transfer.js";

/** A sensing element with the table that holds for it in one housing. */
export interface Meter {
  readonly table: AirflowTable;
  /** Relative standard uncertainty of the table's flows [1]. */
  readonly accuracy: number;
  /** Signals the sensor itself can put out, when known. */
  readonly range?: SignalSpan;
  readonly housing: Housing;
}

/** What sits in the new housing. */
export type NewMeter =
  | { readonly source: "same-element"; readonly housing: Housing }
  | {
      readonly source: "donor";
      readonly housing: Housing;
      /** The donor's table with the housing it holds for; the same object as `housing` when the donor's is used whole. */
      readonly donor: Meter;
      /** True when the donor's table already holds for the new housing. */
      readonly asInstalled: boolean;
    };

const meterKeys = () => ({
  signal: choiceField(["frequency", "voltage"], "What the sensor puts out."),
  table: tableFileField(
    "Text with columns signal [Hz or V] and airflow [g/s, …], in any words that leave no doubt.",
    "present-airflow.csv",
    "signal, airflow",
  ),
  accuracy: quantityField("ratio", {
    about: "One standard uncertainty of the table's flows, relative.",
    example: "2 %",
    range: { from: 0, to: 0.3 },
    percent: true,
  }),
  range: anySpanField(["frequency", "voltage"], {
    about: "Signals that the sensor itself can put out.",
    example: "30 Hz .. 12 kHz",
    range: { from: 0 },
  }).optional(),
});

/** The `present` block. */
export const presentBlock = () =>
  block({ ...meterKeys(), housing: housingBlock() }, "What the engine is calibrated for today.");

/** The `new` block. */
export const newBlock = () =>
  block(
    {
      source: choiceField(
        ["same-element", "donor"],
        "Which element sits in the new housing: the present one, or another car's.",
      ),
      housing: housingBlock(),
      donor: block({
        ...meterKeys(),
        housing: oneOf(
          [choiceField(["new"], "The donor's table already holds for the new housing."), housingBlock()],
          "'new' when the donor's table already holds for the new housing, else the housing it holds for",
        ),
      }).optional(),
      transfer: transferBlock().optional(),
    },
    "What will be fitted.",
  );

function buildTable(
  raw: {
    readonly table: TableFile;
    readonly signal: SignalKind;
    readonly accuracy: { readonly value: number };
  },
  path: string,
  context: BuildContext,
) {
  return context.attempt(`${path}.table`, () => {
    const { text, ...options } = openTable(raw.table, context);
    return readMeterTable(text, raw.signal, { ...options, accuracy: raw.accuracy.value });
  });
}

export function buildMeter(
  raw: z.output<ReturnType<typeof presentBlock>>,
  path: string,
  context: BuildContext,
): Meter | undefined {
  const table = buildTable(raw, path, context);
  const range = signalSpanOf(raw.range, raw.signal, `${path}.range`, context);
  const housing = buildHousing(raw.housing, `${path}.housing`, context);
  if (table === undefined || housing === undefined) return undefined;
  return omitUndefined({ table, accuracy: raw.accuracy.value, range, housing });
}

export function buildNewMeter(
  raw: z.output<ReturnType<typeof newBlock>>,
  context: BuildContext,
): NewMeter | undefined {
  const housing = buildHousing(raw.housing, "new.housing", context);
  if (raw.source === "same-element") {
    if (raw.donor !== undefined) {
      context.fault("new.donor", {
        code: "E_SCHEMA",
        message: "'donor' does not go with 'source: same-element'",
        accepted: "'source: donor', or no donor",
      });
    }
    return housing === undefined ? undefined : { source: "same-element", housing };
  }
  if (raw.donor === undefined) {
    context.fault("new.donor", {
      code: "E_SCHEMA",
      message: "the key 'donor' is missing beside 'source: donor'",
      accepted: "a block with signal, table, accuracy, housing",
    });
    return undefined;
  }
  const asInstalled = raw.donor.housing === "new";
  const table = buildTable(raw.donor, "new.donor", context);
  const range = signalSpanOf(raw.donor.range, raw.donor.signal, "new.donor.range", context);
  const own =
    raw.donor.housing === "new" ? housing : buildHousing(raw.donor.housing, "new.donor.housing", context);
  if (housing === undefined || table === undefined || own === undefined) return undefined;
  const donor: Meter = omitUndefined({ table, accuracy: raw.donor.accuracy.value, range, housing: own });
  return { source: "donor", housing, donor, asInstalled };
}
