import type { TemperaturePlan } from "../../stage/index.js";
import { fixed, inUnit, percent, unitScale, unitSign } from "../../text/index.js";
import type { AccountTable } from "../account.js";
import { toUnit } from "../to-unit.js";
import { typedDecimals } from "./airflow-entry.js";

/** The air-temperature table to type in, each value with its 95 % interval. */
export function temperatureEntry(iat: TemperaturePlan): AccountTable {
  const x = toUnit(iat.axis.unit, iat.axis.dimension);
  const y = toUnit(iat.value.unit, iat.value.dimension);
  const kelvin = 1 / unitScale(iat.value.unit, iat.value.dimension).factor;
  const values = iat.cells.map((cell) => y(cell.y));
  const decimals = Math.min(2, typedDecimals(values.map((value) => Number(value.toFixed(2)))));
  const worst = iat.leftAlone?.reduce((a, b) =>
    Math.abs(b.read - b.true) > Math.abs(a.read - a.true) ? b : a,
  );
  const left =
    worst === undefined
      ? ""
      : ` With the present table left in, ${inUnit(worst.true, iat.value.unit, "temperature")} would read ${inUnit(worst.read, iat.value.unit, "temperature")}, and fuel and ignition would follow.`;
  return {
    id: "air-temperature",
    caption: "Air-temperature table to type in",
    hint: `${iat.cells.length} values for the new element. Low and high: 95 % interval.${left}`,
    columns: [
      { name: iat.axis.name, unit: unitSign(iat.axis.unit), align: "right" },
      { name: iat.value.name, unit: unitSign(iat.value.unit), align: "right", strong: true },
      { name: "low", unit: unitSign(iat.value.unit), align: "right" },
      { name: "high", unit: unitSign(iat.value.unit), align: "right" },
      { name: "remarks", unit: "", align: "left", wide: true },
    ],
    rows: iat.cells.map((cell, i) => ({
      cells: [
        fixed(x(cell.x), typedDecimals(iat.cells.map((one) => x(one.x)))),
        fixed(values[i] as number, decimals),
        fixed((values[i] as number) - 1.96 * cell.u * kelvin, Math.min(1, decimals)),
        fixed((values[i] as number) + 1.96 * cell.u * kelvin, Math.min(1, decimals)),
        cell.flags.join(", "),
      ],
      dim: cell.flags.length > 0,
    })),
    copy: [0, 1],
  };
}

/** How well element and table are known, in a sentence. */
export const temperatureWords = (iat: TemperaturePlan): string =>
  `The element's law (${iat.fit.law}) leaves ${fixed(iat.fit.rms, 2)} K rms of its ${iat.fit.points} points; the table as executed is off by at most ${fixed(Math.abs(iat.worst.error), 2)} K inside its band${iat.fit.points > 0 && iat.fit.outliers.length > 0 ? `, and ${percent(iat.fit.outliers.length / iat.fit.points, 2)} of the points do not fit` : ""}.`;
