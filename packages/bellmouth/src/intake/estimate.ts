/**
 * A number found from data, with what is known of its error. Plain JSON-ready data: an open end of an interval is null.
 */
export interface Estimate {
  /** best value, in the SI unit its owner names */
  readonly value: number;
  /** standard uncertainty, same unit */
  readonly u: number;
  /** lower end of the interval, same unit; null when the data set no lower end */
  readonly from: number | null;
  /** upper end of the interval, same unit; null when the data set no upper end */
  readonly to: number | null;
  /** degrees of freedom behind u [1]; null when u is known, not estimated */
  readonly degreesOfFreedom: number | null;
  /** probability that intervals made this way hold the true value [1] */
  readonly confidence: number;
}
