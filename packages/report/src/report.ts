import { accountOf, type Figure } from "bellmouth/account";
import type { AnyResult } from "bellmouth/stage";
import { accountPage, apartFromEachOther, figuresIn, type PageOptions } from "./page.js";

/**
 * Results as one self-contained HTML page: no network, opens from disk.
 *
 * @param results in the order in which they are shown
 */
export const reportPage = (results: readonly AnyResult[], options: PageOptions = {}): string =>
  accountPage(results.map(accountOf), options);

/** Every picture of results, for single SVG files. Ids are unique among them and are those of the page: `plan-flow`. */
export const reportFigures = (results: readonly AnyResult[]): readonly Figure[] =>
  apartFromEachOther(results.map(accountOf)).flatMap(figuresIn);

/** Every picture of one result. */
export const resultFigures = (result: AnyResult): readonly Figure[] => reportFigures([result]);
