import type { ChannelKey, LogSpec } from "./drive-spec.js";
import { channelKeys } from "./drive-spec.js";
import type { SimulatedDrive } from "./simulate-drive.js";

interface Printed {
  readonly header: string;
  readonly scale: number;
  readonly offset: number;
  readonly decimals: number;
}

const printed = (signal: "frequency" | "voltage"): { readonly [channel in ChannelKey]: Printed } => ({
  time: { header: "time [s]", scale: 1, offset: 0, decimals: 3 },
  signal:
    signal === "frequency"
      ? { header: "signal [Hz]", scale: 1, offset: 0, decimals: 1 }
      : { header: "signal [V]", scale: 1, offset: 0, decimals: 4 },
  airflow: { header: "airflow [g/s]", scale: 1e3, offset: 0, decimals: 3 },
  engineSpeed: { header: "engine speed [rpm]", scale: 60, offset: 0, decimals: 0 },
  lambda: { header: "lambda [1]", scale: 1, offset: 0, decimals: 3 },
  lambdaTarget: { header: "lambda target [1]", scale: 1, offset: 0, decimals: 3 },
  shortTrim: { header: "short trim [%]", scale: 100, offset: 0, decimals: 2 },
  longTrim: { header: "long trim [%]", scale: 100, offset: 0, decimals: 2 },
  coolant: { header: "coolant [degC]", scale: 1, offset: -273.15, decimals: 0 },
  intakeAir: { header: "intake air [degC]", scale: 1, offset: -273.15, decimals: 0 },
  manifoldPressure: { header: "manifold pressure [kPa]", scale: 1e-3, offset: 0, decimals: 1 },
  throttle: { header: "throttle [%]", scale: 100, offset: 0, decimals: 1 },
  vehicleSpeed: { header: "vehicle speed [km/h]", scale: 3.6, offset: 0, decimals: 0 },
  barometer: { header: "barometer [kPa]", scale: 1e-3, offset: 0, decimals: 1 },
  battery: { header: "battery [V]", scale: 1, offset: 0, decimals: 1 },
});

const decimalsOf = (log: LogSpec, key: ChannelKey, usual: Printed): number =>
  log.decimals[key] ?? usual.decimals;

/**
 * The columns as a log file would hold them: rounded to the printed decimals in the printed unit, back in SI. An
 * estimator that is scored in memory must be given these, not the exact values.
 */
export function printedColumns(
  drive: SimulatedDrive,
  signal: "frequency" | "voltage",
  log: LogSpec,
): SimulatedDrive["columns"] {
  const forms = printed(signal);
  return Object.fromEntries(
    channelKeys.map((key) => {
      const form = forms[key];
      const unit = 10 ** decimalsOf(log, key, form);
      const column = drive.columns[key].map(
        (value) => (Math.round((value * form.scale + form.offset) * unit) / unit - form.offset) / form.scale,
      );
      return [key, column];
    }),
  ) as SimulatedDrive["columns"];
}

/** The log as ordinary CSV: a header with units, a row per sample, decimal points, newline ends. */
export function driveCsv(drive: SimulatedDrive, signal: "frequency" | "voltage", log: LogSpec): string {
  const forms = printed(signal);
  const lines = [channelKeys.map((key) => forms[key].header).join(",")];
  for (let i = 0; i < drive.columns.time.length; i++) {
    lines.push(
      channelKeys
        .map((key) => {
          const form = forms[key];
          return (drive.columns[key][i]! * form.scale + form.offset).toFixed(decimalsOf(log, key, form));
        })
        .join(","),
    );
  }
  return `${lines.join("\n")}\n`;
}
