import { backwardSolve, choleskyFactor, forwardSolve, logDeterminant } from "./cholesky.js";
import { type FieldPrior, fieldPrior, nodeCount } from "./field.js";
import {
  addRow,
  type CauseColumn,
  causeOver,
  type Explained,
  explain,
  type Form,
  logMean,
  meanOver,
  type Posterior,
  type Prepared,
  type PriorBasis,
  posteriorOver,
  prepareForm,
} from "./posterior.js";
import type { PriorParts } from "./prior.js";
import { knotCount } from "./reference.js";
import { type Counted, totalsOf, wide, withoutOffsets } from "./totals.js";
import { possibleCauses } from "./types.js";

/** Standard deviations between drives, and of the field, that are averaged over by evidence, with their prior weights [1]. */
const driveSpreads = [
  { sd: 0, weight: 0.3 },
  { sd: 0.002, weight: 0.175 },
  { sd: 0.005, weight: 0.175 },
  { sd: 0.01, weight: 0.175 },
  { sd: 0.02, weight: 0.175 },
] as const;
const fieldSizes = [0.005, 0.01, 0.02, 0.04] as const;
const noField = 0.97;
/** A choice less likely than this beside the best is not followed further [1]. */
const least = 1e-3;

const size = knotCount + possibleCauses.length;

/** The field integrated out of a form over all unknowns; its size 0 leaves it away. */
interface Eliminator {
  readonly form: Form;
  at(sd: number): Form;
  /** The field's most likely values at the nodes, for a curve [1]. */
  field(sd: number, theta: Float64Array): Float64Array;
}

function eliminator(form: Form, prior: FieldPrior | null): Eliminator {
  const keep = (k: number): number => (k < knotCount ? k : k + nodeCount);
  const H = new Float64Array(size * size);
  const b = new Float64Array(size);
  for (let r = 0; r < size; r++) {
    b[r] = form.vector[keep(r)]!;
    for (let c = 0; c < size; c++) H[r * size + c] = form.matrix[keep(r) * wide + keep(c)]!;
  }
  const plain: Form = { matrix: H, vector: b, logEvidence: form.logEvidence };
  if (prior === null) return { form: plain, at: () => plain, field: () => new Float64Array(nodeCount) };
  const m = nodeCount;
  const F = prior.root;
  const X = new Float64Array(m * size);
  const y = new Float64Array(m);
  const HF = new Float64Array(m * m);
  for (let k = 0; k < m; k++) {
    const row = (knotCount + k) * wide;
    for (let z = 0; z < m; z++) {
      const f = F[k * m + z]!;
      y[z] = y[z]! + f * form.vector[knotCount + k]!;
      addRow(X, z * size, f, form.matrix, row, knotCount);
      addRow(X, z * size + knotCount, f, form.matrix, row + knotCount + m, size - knotCount);
      addRow(HF, z * m, f, form.matrix, row + knotCount, m);
    }
  }
  const A = new Float64Array(m * m);
  for (let r = 0; r < m; r++) for (let k = 0; k < m; k++) addRow(A, r * m, HF[r * m + k]!, F, k * m, m);
  const factorAt = (sd: number): Float64Array => {
    const whole = A.map((value) => value * sd * sd);
    for (let k = 0; k < m; k++) whole[k * m + k] = whole[k * m + k]! + 1;
    return choleskyFactor(whole, m)!;
  };
  return {
    form: plain,
    at(sd) {
      const factor = factorAt(sd);
      const w = forwardSolve(
        factor,
        m,
        y.map((value) => value * sd),
      );
      const matrix = Float64Array.from(H);
      const vector = Float64Array.from(b);
      const Y = X.map((value) => value * sd);
      solveRows(factor, m, Y, size);
      for (let z = 0; z < m; z++) takeOuter(matrix, vector, Y.subarray(z * size, (z + 1) * size), w[z]!);
      let squares = 0;
      for (const value of w) squares += value * value;
      return {
        matrix,
        vector,
        logEvidence: form.logEvidence + 0.5 * squares - 0.5 * logDeterminant(factor, m),
      };
    },
    field(sd, theta) {
      const right = Float64Array.from(y, (value, z) => {
        let sum = value;
        for (let k = 0; k < knotCount; k++) sum -= X[z * size + k]! * theta[k]!;
        return sd * sum;
      });
      const factor = factorAt(sd);
      const z = backwardSolve(factor, m, forwardSolve(factor, m, right));
      const out = new Float64Array(m);
      for (let r = 0; r < m; r++) for (let c = 0; c < m; c++) out[r] = out[r]! + sd * F[r * m + c]! * z[c]!;
      return out;
    },
  };
}

/** Y = L^-1 Y in place, whole rows at a time. */
function solveRows(factor: Float64Array, m: number, Y: Float64Array, width: number): void {
  for (let r = 0; r < m; r++) {
    for (let k = 0; k < r; k++) addRow(Y, r * width, -factor[r * m + k]!, Y, k * width, width);
    const scale = 1 / factor[r * m + r]!;
    for (let c = r * width; c < (r + 1) * width; c++) Y[c] = Y[c]! * scale;
  }
}

/** matrix - v v', vector - v w, in place. */
function takeOuter(matrix: Float64Array, vector: Float64Array, v: Float64Array, w: number): void {
  const n = v.length;
  for (let r = 0; r < n; r++) {
    vector[r] = vector[r]! - v[r]! * w;
    addRow(matrix, r * n, -v[r]!, v, 0, n);
  }
}

/** ln evidence of an explanation: by the curve (and a cause), and with a field over speed and load as well [1]. */
export interface Evidences {
  readonly alone: number;
  readonly field: number;
}

export interface Averaged {
  /** The curve alone, or with the field as far as likely: what the table is fitted to. */
  readonly posterior: Posterior;
  /** Expected variance of the field [1], and its prior; null where no drive logs speed and load. */
  readonly fieldVariance: number;
  readonly fieldPrior: FieldPrior | null;
  /** Information at the field's nodes [1]. */
  readonly nodeWeights: Float64Array;
  /** The prior's parts at the knots, unscaled. */
  readonly prior: PriorParts;
  /** Standard deviation of the field that is most likely, were there one [1], and its values at the nodes. */
  readonly field: { readonly sd: number; readonly nodes: Float64Array };
  /** Expected variance between drives [1]. */
  readonly driveVariance: number;
  readonly evidence: Evidences;
  readonly causes: readonly (Evidences & { readonly size: number; readonly u: number })[];
  /** The posterior with a cause beside the curve. */
  withCause(cause: number): Posterior;
}

/** One choice of the spread between drives and of the field's size, with all that explains it. */
interface Choice {
  readonly drives: number;
  readonly field: number;
  readonly lnPrior: number;
  readonly prepared: Prepared;
  readonly explained: readonly Explained[];
}

/**
 * Averages over what is not known besides the curve: scales of the prior, the spread between drives, a field over speed and load.
 *
 * @param about    ln(prior mean/reference) at the knots [1]
 * @param columns  the possible causes' prior spreads; null where no drive tells of one
 */
export function averageOver(
  basis: PriorBasis,
  { drives }: Counted,
  about: Float64Array,
  columns: readonly (CauseColumn | null)[],
): Averaged {
  const plain = totalsOf(drives, about, false);
  const agrees = drives.every(({ record }) => record.summary.misfit < 1.001);
  const careful = agrees ? plain : totalsOf(drives, about, true);
  const weights = Float64Array.from({ length: nodeCount }, (_, k) =>
    Math.max(0, plain.matrix[(knotCount + k) * (wide + 1)]!),
  );
  const prior = weights.some((value) => value > 0) ? fieldPrior(weights) : null;
  const variants: readonly (CauseColumn | null)[] = [null, ...columns.filter((one) => one !== null)];
  const choice = (form: Form, drivesSd: number, field: number, lnPrior: number): Choice => {
    const prepared = prepareForm(basis, form);
    return {
      drives: drivesSd,
      field,
      lnPrior,
      prepared,
      explained: variants.map((variant) => explain(prepared, variant)),
    };
  };
  const spreads = drives.length < 2 ? [{ sd: 0, weight: 1 }] : driveSpreads;
  const without = spreads.map(({ sd, weight }) => {
    const form = withoutOffsets(careful, sd);
    const held = choice(eliminator(form, null).form, sd, 0, Math.log(weight));
    const bare = eliminator(agrees ? form : withoutOffsets(plain, sd), prior);
    return { held, free: agrees ? held : choice(bare.form, sd, 0, Math.log(weight)), bare };
  });
  const evidenceOf = (choices: readonly Choice[], variant: number): number =>
    logMean(
      choices.map(({ explained }) => explained[variant]!.logEvidence),
      choices.map(({ lnPrior }) => Math.exp(lnPrior)),
    );
  const held = without.map((one) => one.held);
  const free = without.map((one) => one.free);
  const top = held.reduce(
    (best, { explained, lnPrior }) => Math.max(best, explained[0]!.logEvidence + lnPrior),
    Number.NEGATIVE_INFINITY,
  );
  const followed = without.filter(
    ({ held: one }) => one.explained[0]!.logEvidence + one.lnPrior > top + Math.log(least),
  );
  const fields =
    prior === null
      ? []
      : followed.flatMap(({ bare, held: one }) =>
          fieldSizes.map((sd) => choice(bare.at(sd), one.drives, sd, one.lnPrior)),
        );
  const evidences = (variant: number): Evidences => ({
    alone: evidenceOf(free, variant),
    field: fields.length === 0 ? Number.NEGATIVE_INFINITY : evidenceOf(fields, variant),
  });
  /** All choices with ln of their weight beside their own evidence: where there is no field, the divided sums stand for the undivided. */
  const mixture = (variant: number): { one: Explained; lnWeight: number; choice: Choice }[] => {
    const { alone } = evidences(variant);
    const divided = evidenceOf(held, variant);
    const none = prior === null ? 0 : Math.log(noField);
    return [
      ...held.map((one) => ({
        one: one.explained[variant]!,
        lnWeight: one.lnPrior + none + alone - divided,
        choice: one,
      })),
      ...fields.map((one) => ({
        one: one.explained[variant]!,
        lnWeight: one.lnPrior + Math.log((1 - noField) / fieldSizes.length),
        choice: one,
      })),
    ];
  };
  const mixed = mixture(0);
  const posterior = posteriorOver(mixed);
  const lnShares = mixed.map(({ one, lnWeight }) => one.logEvidence + lnWeight);
  const best = Math.max(...lnShares);
  const whole = lnShares.reduce((sum, ln) => sum + Math.exp(ln - best), 0);
  const share = (k: number): number => Math.exp(lnShares[k]! - best) / whole;
  let fieldVariance = 0;
  let driveVariance = 0;
  mixed.forEach(({ choice: { field, drives: sd } }, k) => {
    fieldVariance += share(k) * field ** 2;
    driveVariance += share(k) * sd ** 2;
  });
  const likely = fields.reduce<Choice | null>(
    (a, b) => (a === null || b.explained[0]!.logEvidence > a.explained[0]!.logEvidence ? b : a),
    null,
  );
  const bare = likely === null ? undefined : followed.find(({ held: one }) => one.drives === likely.drives);
  return {
    posterior,
    fieldVariance,
    fieldPrior: prior,
    nodeWeights: weights,
    prior: basis.parts,
    field: {
      sd: likely?.field ?? 0,
      nodes:
        likely === null || bare === undefined
          ? new Float64Array(nodeCount)
          : bare.bare.field(likely.field, meanOver([{ one: likely.explained[0]!, lnWeight: 0 }])),
    },
    driveVariance,
    evidence: evidences(0),
    causes: columns.map((column) => {
      if (column === null)
        return { alone: Number.NEGATIVE_INFINITY, field: Number.NEGATIVE_INFINITY, size: 0, u: 0 };
      const variant = variants.indexOf(column);
      return { ...evidences(variant), ...causeOver(mixture(variant)) };
    }),
    withCause: (cause) => posteriorOver(mixture(variants.indexOf(columns[cause]!))),
  };
}
