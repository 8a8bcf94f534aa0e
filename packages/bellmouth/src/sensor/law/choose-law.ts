import { BellmouthError, isFault } from "../../fault/index.js";
import { lawData } from "./check-points.js";
import { type FitLawOptions, refitted } from "./fit-forms.js";
import { fitTransferLaw } from "./fit-law.js";
import type { LawForm } from "./law-curve.js";
import { GROWTH_FLOOR, type LawPoint, type LawResidual, type TransferLaw } from "./transfer-law.js";

/** What a law is wanted for: filling gaps and smoothing within its points, or going past the last or the first. */
export type LawUse = "within" | "above" | "below";

export interface ChooseLawOptions extends Omit<FitLawOptions, "form" | "degree" | "highestDegree"> {
  /**
   * There is no default: the form that fits best within the points is often the worst past them (on a hot wire, a
   * polynomial misses by tens of percent where King's law misses by two).
   */
  readonly use: LawUse;
  /** Forms to try; all when left out. */
  readonly forms?: readonly LawForm[];
}

/** A chosen law and what it was chosen from. */
export interface LawChoice {
  readonly law: TransferLaw;
  /** every form tried, best first */
  readonly tried: readonly TriedLaw[];
}

export interface TriedLaw {
  readonly form: LawForm;
  /** leave-one-out rms of ln(flow) [1]; null where the form did not fit */
  readonly leaveOneOut: number | null;
  /** error per unit of ln(flow) past the end, found by hiding end points [1]; null within, or where it did not fit */
  readonly beyond: number | null;
  /** why the form did not fit */
  readonly reason: string | null;
}

export const LAW_FORMS: readonly LawForm[] = [
  "shifted power",
  "king",
  "log polynomial",
  "log-log polynomial",
];

/** A form whose error is within this ratio of the best is a rival: the data hardly tell them apart. */
const RIVAL = 2;
/** Distance past the end [ln(flow)] at which forms are compared: about 1.65 times the last flow. */
const REACH = 0.5;
/** How many times better a polynomial must predict before it replaces a heated-wire law past the points. */
const PLAINLY = 2;
/** Highest degree that a polynomial may have past its points. */
const BEYOND_DEGREE = 2;

/**
 * Fits every form and takes the one that predicts left-out points best; past the ends it must also predict hidden end
 * points. Forms that do about as well stay as rivals, whose disagreement widens the uncertainty.
 *
 * @param points signals [Hz] or [V], flows [kg/s]; at least five
 * @throws `E_TOO_LITTLE_DATA`, `E_DOMAIN`, `E_SHAPE`, and `E_SINGULAR` when no form fits
 */
export function chooseTransferLaw(points: readonly LawPoint[], options: ChooseLawOptions): LawChoice {
  const { use, ...rest } = options;
  return lawChooser(points, rest)(use);
}

/**
 * Choices of laws for the same points and several uses, which share their fits.
 *
 * @param points as `chooseTransferLaw`
 * @returns function of the use: each choice is that of `chooseTransferLaw`
 * @throws as `chooseTransferLaw`; `E_SINGULAR` from the returned function
 */
export function lawChooser(
  points: readonly LawPoint[],
  options: Omit<ChooseLawOptions, "use"> = {},
): (use: LawUse) => LawChoice {
  lawData(points, 5);
  const { forms = LAW_FORMS, ...rest } = options;
  const fitted = new Map<string, TransferLaw | BellmouthError>();
  /** The fit of a form for a use, made once; a form that does not fit gives its reason. */
  const fitOf = (form: LawForm, use: LawUse): TransferLaw | BellmouthError => {
    // The heated-wire forms have no degree to keep low, so their fit serves every use.
    const key = polynomial(form) && use !== "within" ? `low ${form}` : form;
    const known = fitted.get(key);
    if (known !== undefined) return known;
    let result: TransferLaw | BellmouthError;
    try {
      const low = key === form ? {} : { highestDegree: BEYOND_DEGREE };
      result = fitTransferLaw(points, { ...rest, ...low, form });
    } catch (error) {
      if (!isFault(error, "E_SINGULAR")) throw error;
      result = error;
    }
    fitted.set(key, result);
    return result;
  };
  return (use) => choose(forms, use, (form) => fitOf(form, use));
}

function choose(
  forms: readonly LawForm[],
  use: LawUse,
  fitOf: (form: LawForm) => TransferLaw | BellmouthError,
): LawChoice {
  const fits: { law: TransferLaw; beyond: number | null; score: number }[] = [];
  const failed: TriedLaw[] = [];
  for (const form of forms) {
    const law = fitOf(form);
    if (isFault(law)) {
      failed.push({ form, leaveOneOut: null, beyond: null, reason: law.message });
      continue;
    }
    const beyond = use === "within" ? null : hiddenEndError(law, use);
    fits.push({ law, beyond, score: Math.hypot(law.leaveOneOutRms, REACH * (beyond ?? 0)) });
  }
  // Past its points a curve needs physics: the heated-wire forms go first unless the data plainly contradict them.
  const handicap = (form: LawForm): number => (use !== "within" && polynomial(form) ? PLAINLY : 1);
  fits.sort((a, b) => a.score * handicap(a.law.curve.form) - b.score * handicap(b.law.curve.form));
  const [best, ...others] = fits;
  if (best === undefined) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: "no law rises through these points",
      found: failed.map((entry) => `${entry.form}: ${entry.reason}`).join("; "),
      accepted: "points whose flow rises with the signal",
      at: { path: "points" },
    });
  }
  return {
    law: {
      ...best.law,
      rivals: others.filter(({ score }) => score <= RIVAL * best.score).map(({ law }) => law.curve),
      growth: {
        above: Math.max(GROWTH_FLOOR.above, use === "above" ? (best.beyond ?? 0) : 0),
        below: Math.max(GROWTH_FLOOR.below, use === "below" ? (best.beyond ?? 0) : 0),
      },
    },
    tried: [
      ...fits.map(({ law, beyond }) => ({
        form: law.curve.form,
        leaveOneOut: law.leaveOneOutRms,
        beyond,
        reason: null,
      })),
      ...failed,
    ],
  };
}

const polynomial = (form: LawForm): boolean => form === "log polynomial" || form === "log-log polynomial";

/** How many ends of different length are hidden in turn, at most a third of the points. */
const HIDINGS = 8;
/** Most hidden points that one such end is judged by. */
const JUDGES = 40;

/**
 * Error per unit of ln(flow) past the end, from fits that do not see an end of the points and are asked for it. The
 * scatter of a single point is taken off: it is there at the end whether or not anything is extrapolated.
 */
function hiddenEndError(law: TransferLaw, side: "above" | "below"): number {
  const ordered = side === "above" ? law.residuals : [...law.residuals].reverse();
  const most = Math.min(Math.floor(ordered.length / 3), ordered.length - 5);
  const lengths = Array.from({ length: HIDINGS }, (_, k) => Math.ceil((most * (k + 1)) / HIDINGS));
  let top = 0;
  let bottom = 0;
  for (const hidden of new Set(lengths.filter((length) => length > 0))) {
    const seen = ordered.slice(0, -hidden);
    const last = seen[seen.length - 1] as LawResidual;
    const predict = refitted(law, seen);
    const stride = Math.max(1, Math.ceil(hidden / JUDGES));
    for (let i = ordered.length - 1; i >= seen.length; i -= stride) {
      const point = ordered[i] as LawResidual;
      const distance = Math.log(point.flow / last.flow);
      const error = Math.log(point.flow) - predict(point.signal);
      // Where a law fitted to fewer points has no value at the hidden one, it is wrong by all of the distance.
      const square = Number.isFinite(error) ? error * error : distance * distance;
      top += point.weight * distance ** 2 * (square - law.scatter ** 2);
      bottom += point.weight * distance ** 4;
    }
  }
  return bottom > 0 ? Math.sqrt(Math.max(0, top) / bottom) : 0;
}
