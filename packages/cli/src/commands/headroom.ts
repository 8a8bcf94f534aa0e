import { headroomAccount } from "bellmouth/account";
import { swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** How far from its ends the signal stays, with the new meter and the present one. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const plan = readInput(name, [swapDocument], io).placed(planSwap);
  return deliver(
    {
      data: { title: plan.title, signal: plan.signal, ...plan.headroom, cautions: plan.cautions },
      accounts: [headroomAccount(plan)],
      files: [],
    },
    request,
    io,
  );
};
