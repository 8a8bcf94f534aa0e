import { verifyAccount, verifyFiles } from "bellmouth/account";
import { verifyDocument } from "bellmouth/document";
import { verifyTable } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";

/** Holds a typed table against a log of the drive after it. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const result = readInput(name, [verifyDocument], io).placed(verifyTable);
  return deliver(
    { data: result, accounts: [verifyAccount(result)], files: verifyFiles(result) },
    request,
    io,
  );
};
