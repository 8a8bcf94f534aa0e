/** Channels a refinement can use. All SI; trims and throttle are fractions (3 % is 0.03). */
export type ChannelName =
  | "signal" // what the sensor puts out [Hz] or [V]
  | "airflow" // as metered by the ECU's present table [kg/s]
  | "engineSpeed" // [rev/s]
  | "lambda" // measured by a wideband sensor [1]
  | "lambdaTarget" // commanded [1]
  | "shortTrim" // [1], 0.03 adds 3 % fuel
  | "longTrim" // [1], 0.03 adds 3 % fuel
  | "coolant" // [K]
  | "intakeAir" // [K]
  | "manifoldPressure" // absolute [Pa]
  | "barometer" // [Pa]
  | "throttle" // [1]
  | "vehicleSpeed" // [m/s]
  | "battery"; // [V]

/** One channel of a drive, at its own rate: a value per time stamp; NaN means a missing sample. */
export interface DriveChannel {
  /** Since the start of the log [s], not decreasing. */
  readonly time: Float64Array;
  /** In the channel's SI unit; as long as `time`. */
  readonly value: Float64Array;
}

/** A recorded drive: channels by name, each with its own time stamps. */
export interface Drive {
  readonly channels: { readonly [name in ChannelName]?: DriveChannel };
  /** For messages: usually the file's name. */
  readonly name?: string;
}
