import { BellmouthError } from "bellmouth";
import { type Dimension, didYouMean, SI_UNITS, unitsFor } from "bellmouth/text";
import type { CommandBody } from "../command.js";
import { columns } from "../help.js";
import { plain } from "../words.js";

/** Prints the units that documents and tables may use. */
export const body: CommandBody = (request) => {
  const dimensions = Object.keys(SI_UNITS) as Dimension[];
  const wanted = request.positionals.join(" ");
  const chosen = wanted === "" ? dimensions : dimensions.filter((dimension) => dimension === wanted);
  if (chosen.length === 0) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: `nothing of that name has units${didYouMean(wanted, dimensions)}`,
      found: `'${plain(wanted)}'`,
      accepted: dimensions.join(", "),
    });
  }
  return {
    data: Object.fromEntries(chosen.map((dimension) => [dimension, unitsFor(dimension)])),
    text: columns(
      chosen.map((dimension) => [dimension, unitsFor(dimension).join(", ")] as const),
      "",
    ),
  };
};
