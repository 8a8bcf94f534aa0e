import { restrictionAccount, restrictionFiles } from "bellmouth/account";
import { restrictionDocument } from "bellmouth/document";
import { measureRestriction } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** What each part of the intake takes of the pressure. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const result = readInput(name, [restrictionDocument], io).placed(measureRestriction);
  return deliver(
    { data: result, accounts: [restrictionAccount(result)], files: restrictionFiles(result) },
    request,
    io,
  );
};
