import type { MoistAir } from "../air/index.js";
import type { QuantityReading } from "../text/index.js";
import { quantityField } from "./fields.js";

/** Keys of a block that says what the outside air was. */
export const airKeys = () => ({
  temperature: quantityField("temperature", {
    about: "Outside air.",
    example: "20 degC",
    range: { from: 220, to: 340 },
  }),
  pressure: quantityField("pressure", {
    about: "Outside air, absolute: the barometer at your altitude, not reduced to sea level.",
    example: "98.5 kPa absolute",
    range: { from: 40_000, to: 110_000 },
  }),
  humidity: quantityField("ratio", {
    about: "Relative humidity; dry air when left out, which changes densities by up to 1 %.",
    example: "60 %",
    range: { from: 0, to: 1 },
    percent: true,
  }).optional(),
});

interface RawAir {
  readonly temperature: QuantityReading<"temperature">;
  readonly pressure: QuantityReading<"pressure">;
  readonly humidity?: QuantityReading<"ratio"> | undefined;
}

export const buildAir = (raw: RawAir): MoistAir => ({
  temperature: raw.temperature.value,
  pressure: raw.pressure.value,
  relativeHumidity: raw.humidity?.value ?? 0,
});
