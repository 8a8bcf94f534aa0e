import { planAccount, planFiles } from "bellmouth/account";
import { swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** Plans a swap: tables, budget, headroom, verdict. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const plan = readInput(name, [swapDocument], io).placed(planSwap);
  return deliver({ data: plan, accounts: [planAccount(plan)], files: planFiles(plan) }, request, io);
};
