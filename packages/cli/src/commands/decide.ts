import { decisionDocument } from "bellmouth/document";
import { decisionFiles, weighDecision } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { decisionText } from "../intake-text.js";
import { deliver } from "../result-output.js";

/** What changes cost and bring. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const result = weighDecision(readInput(name, [decisionDocument], io).document);
  return deliver(
    { data: result, text: decisionText(result), files: decisionFiles(result), page: [result] },
    request,
    io,
  );
};
