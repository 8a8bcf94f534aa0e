/** A sensor that tells rich from lean only, as the ECU's comparator sees it. */
export interface NarrowBandSpec {
  /** Lambda at which it switches [1]; gas composition moves it by some tenths of a per cent. */
  readonly switchPoint: number;
  /** Half width of the comparator's hysteresis, in lambda [1]. */
  readonly hysteresis: number;
  /** Extra time before a change to lean is taken [s]: makers set it against what the sensor's asymmetry does. */
  readonly leanDelay: number;
}

/** 1 while lean is seen, -1 while rich. State of one drive. @source Relay with hysteresis: any text on control; figures common practice, no source. */
export function makeNarrowBand(spec: NarrowBandSpec): (lambda: number, step: number) => 1 | -1 {
  let side: 1 | -1 = -1;
  let leanFor = 0;
  return (lambda, step) => {
    if (lambda < spec.switchPoint - spec.hysteresis) side = -1;
    leanFor = lambda > spec.switchPoint + spec.hysteresis ? leanFor + step : 0;
    if (leanFor > spec.leanDelay) side = 1;
    return side;
  };
}
