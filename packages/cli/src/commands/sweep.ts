import { BellmouthError } from "bellmouth";
import { sweepAccount } from "bellmouth/account";
import { swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import { placeOf } from "bellmouth/text";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** Which bore? The same element in a range of housings. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const { document, source, placed } = readInput(name, [swapDocument], io);
  if (document.sweep === undefined) {
    throw new BellmouthError({
      code: "E_SCHEMA",
      message: "the document asks for no sweep: the key 'sweep' is missing",
      accepted: "a block with from, to, step, limits",
      at: placeOf(source, "sweep"),
    });
  }
  const plan = placed(planSwap);
  const account = sweepAccount(plan);
  if (account === null) throw new Error("the plan gave no sweep although the document asks for one");
  return deliver(
    { data: { title: plan.title, ...plan.sweep, cautions: plan.cautions }, accounts: [account], files: [] },
    request,
    io,
  );
};
