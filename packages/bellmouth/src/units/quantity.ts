declare const dimension: unique symbol;

/**
 * A number in the SI unit of its quantity, marked at compile time so that a bare number, or a number of another
 * quantity, does not compile in its place. There is no cost at run time: the value is a plain number.
 *
 * Arithmetic gives a bare `number` back; put it through an SI constructor (`kilogramsPerSecond(a * b)`) to mark
 * it again, which is the place where a reader can check the dimension.
 */
export type Quantity<Name extends string> = number & { readonly [dimension]: Name };

/** [m] */
export type Length = Quantity<"length">;
/** [m^2] */
export type Area = Quantity<"area">;
/** [m^3] */
export type Volume = Quantity<"volume">;
/** [s] */
export type Time = Quantity<"time">;
/** [m/s] */
export type Speed = Quantity<"speed">;
/** [kg/s] */
export type MassFlow = Quantity<"mass flow">;
/** [m^3/s]; says nothing of mass until a density is named */
export type VolumeFlow = Quantity<"volume flow">;
/** [kg/m^3] */
export type Density = Quantity<"density">;
/** [Pa s] */
export type Viscosity = Quantity<"viscosity">;
/** [W/(m K)] */
export type Conductivity = Quantity<"conductivity">;
/** Absolute pressure [Pa]. */
export type Pressure = Quantity<"absolute pressure">;
/** Pressure difference, or gauge pressure [Pa]. Never interchangeable with an absolute pressure. */
export type PressureDifference = Quantity<"pressure difference">;
/** Thermodynamic temperature [K]. */
export type Temperature = Quantity<"temperature">;
/** Temperature difference [K]. */
export type TemperatureDifference = Quantity<"temperature difference">;
/** [Hz] */
export type Frequency = Quantity<"frequency">;
/** [V] */
export type Voltage = Quantity<"voltage">;
/** [ohm] */
export type Resistance = Quantity<"resistance">;
/** [W] */
export type Power = Quantity<"power">;
/** [kg] */
export type Mass = Quantity<"mass">;
/** [N] */
export type Force = Quantity<"force">;
/** [N m] */
export type Torque = Quantity<"torque">;
/** [J] */
export type Energy = Quantity<"energy">;
/** Fuel per work delivered [kg/J]. */
export type SpecificConsumption = Quantity<"specific consumption">;
/** Rotational speed [rev/s]; 6,000 rpm is 100. */
export type RotationalSpeed = Quantity<"rotational speed">;
