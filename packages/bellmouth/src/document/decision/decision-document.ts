import type { TogetherOption, UpgradeOption } from "../../intake/index.js";

/** Changes to weigh, read: powers [W], flows [kg/s], costs in one currency. */
export interface DecisionDocument {
  readonly kind: "decision";
  readonly title: string;
  readonly currency: string;
  readonly options: readonly UpgradeOption[];
  /** undefined: all together */
  readonly together: readonly TogetherOption[] | undefined;
  /** unit that gains are shown in */
  readonly units: { readonly power: string; readonly flow: string };
}
