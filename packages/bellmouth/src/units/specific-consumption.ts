import { HORSEPOWER_W, POUND_KG } from "./constants.js";
import type { SpecificConsumption } from "./quantity.js";

/** Marks a number that is already in kilograms per joule [kg/J]. */
export const kilogramsPerJoule = (value: number): SpecificConsumption => value as SpecificConsumption;
/** grams per kilowatt hour -> [kg/J] */
export const gramsPerKilowattHour = (value: number): SpecificConsumption =>
  (value * (1e-6 / 3600)) as SpecificConsumption;
/** [kg/J] -> grams per kilowatt hour */
export const toGramsPerKilowattHour = (value: SpecificConsumption): number => value / (1e-6 / 3600);
/** pounds per horsepower hour -> [kg/J] */
export const poundsPerHorsepowerHour = (value: number): SpecificConsumption =>
  (value * (POUND_KG / (HORSEPOWER_W * 3600))) as SpecificConsumption;
/** [kg/J] -> pounds per horsepower hour */
export const toPoundsPerHorsepowerHour = (value: SpecificConsumption): number =>
  value / (POUND_KG / (HORSEPOWER_W * 3600));
