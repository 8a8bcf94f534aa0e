import type { DecisionResult } from "bellmouth/job";

export type Row = DecisionResult["table"]["rows"][number];

/** A row's changes as one name. */
export const nameOf = (row: Row): string => row.options.join(" + ");
