import type { DecisionResult } from "../../stage/index.js";
import { figure } from "../../text/index.js";

export type Row = DecisionResult["table"]["rows"][number];

/** A row's changes as one name. */
export const nameOf = (row: Row): string => row.options.join(" + ");

/** An amount with its currency: whole from a hundred up, as prices are spoken of. */
export const money = (value: number, currency: string): string =>
  `${figure(Math.abs(value) >= 100 ? Math.round(value) : value, Math.abs(value) >= 1e4 ? 7 : 4).replace(/\.0+$/, "")} ${currency}`;
