import { trialAccount, trialFiles } from "bellmouth/account";
import { trialDocument } from "bellmouth/document";
import { compareTrial } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** Whether a change helped, from runs before and after it. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const result = readInput(name, [trialDocument], io).placed(compareTrial);
  return deliver({ data: result, accounts: [trialAccount(result)], files: trialFiles(result) }, request, io);
};
