import { requireNumber } from "../../fault/index.js";

// One fit of a pipe's mean velocity over its centre velocity, from laminar to turbulent. Real pipe flow in transition
// is laminar and turbulent by turns, so the time-mean profile is a weighted mean of the two; the weight (the share of
// time turbulent) is the only thing fitted between them. Both parts have mean 1, so the blend has.

/** Mean over centre velocity of the laminar parabola [1]. @source Hagen–Poiseuille. */
export const LAMINAR_RATIO = 0.5;

/** What is fitted of the ratio's law. */
export interface RatioFit {
  /** C of the log law's form at high Re [1] */
  readonly defect: number;
  /** growth of C towards transition, times (1e4/Re)^1.5 [1] */
  readonly defectLow: number;
  /** ln Re at which the flow is turbulent half the time, in a pipe with a calm inlet [1] */
  readonly changeOver: number;
  /** logistic width of the change in ln Re [1] */
  readonly changeWidth: number;
}

// Least squares in log ratio on the 112 ratios of the 1951 air data (sd 1 %) and two 1911 smooth-pipe traverses
// (sd 0.25 %); tests/conformance/profile.test.ts repeats the fit on each half and scores it on the other.
export const RATIO_FIT: RatioFit = {
  defect: 4.39,
  defectLow: 0.146,
  changeOver: Math.log(2345),
  changeWidth: 0.0432,
};

/**
 * Mean over centre velocity of turbulent pipe flow [1] at ln Re = x: 1/(1 + C sqrt(f/8)), the log law's form.
 * f is Haaland's smooth-pipe law written out, because here it must run on smoothly below transition, where a
 * friction law proper stops; C takes up what it misses there.
 */
export function turbulentRatio(x: number, fit = RATIO_FIT): number {
  // Under Re 1000 the turbulent share is under 1e-8: hold the value, so that the logarithm never meets its pole.
  const re = Math.exp(Math.max(x, 6.9));
  const root = 1 / (1.8 * Math.log10(re / 6.9)); // sqrt(f)
  const c = fit.defect + fit.defectLow * (1e4 / re) ** 1.5;
  return 1 / (1 + (c * root) / Math.SQRT2 / 2);
}

/** Share of time the flow is turbulent [1] at ln Re = x, in a pipe with a calm inlet. */
export const turbulentShare = (x: number, fit = RATIO_FIT): number =>
  1 / (1 + Math.exp((fit.changeOver - x) / fit.changeWidth));

/** Mean over centre velocity [1] of developed pipe flow at ln Re = x. */
export function ratioAt(x: number, fit = RATIO_FIT): number {
  const share = turbulentShare(x, fit);
  return 1 / ((1 - share) / LAMINAR_RATIO + share / turbulentRatio(x, fit));
}

/**
 * Mean over centre velocity of developed flow in a round pipe [1]: 0.5 when laminar, rising through transition to
 * 0.72 at Re 3,000 and slowly from there; smooth and increasing in Re.
 *
 * @param reynolds [1] >= 0
 * @validity Measured from Re 620 to 7,500 (1951 air), at 4e4 and 9e4 (1911 air) and 1.02e6 (Superpipe). Within 2 %
 *   of the single ratios below Re 2,100 (one of 46 is 3.1 % off) and above 3,300, within 5 % between; rms 1, 0.7, 1.9 %.
 * @throws `E_DOMAIN` when negative, infinite or NaN
 * @source Form: log law with friction velocity, H. Schlichting, Boundary-Layer Theory, 7th ed., ch. 20; friction:
 *   S. E. Haaland, J. Fluids Eng. 105 (1983) 89. Data: Senecal (1951) and Stanton (1911), digitised by A. Trettel.
 * @example meanToCentreRatio(1000) // ≈ 0.5
 * @example meanToCentreRatio(1e5) // ≈ 0.8282
 */
export function meanToCentreRatio(reynolds: number): number {
  return ratioAt(Math.log(requireNumber(reynolds, "reynolds", "1", { from: 0 })));
}
