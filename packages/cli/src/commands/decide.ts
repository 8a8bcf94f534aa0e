import { decisionAccount, decisionFiles } from "bellmouth/account";
import { decisionDocument } from "bellmouth/document";
import { weighDecision } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** What changes cost and bring. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const result = readInput(name, [decisionDocument], io).placed(weighDecision);
  return deliver(
    { data: result, accounts: [decisionAccount(result)], files: decisionFiles(result) },
    request,
    io,
  );
};
