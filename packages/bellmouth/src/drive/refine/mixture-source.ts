/** How the mixture was told from a drive. */
export type MixtureSource =
  /** A wideband sensor, with or without trims. */
  | "lambda"
  /** Trims alone: a narrow-band closed loop holds lambda at its target on average. */
  | "trims";
