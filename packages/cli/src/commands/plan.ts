import { swapDocument } from "bellmouth/document";
import { planFiles, planSwap } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { planText } from "../plan-text.js";
import { deliver } from "../result-output.js";

/** Plans a swap: tables, budget, headroom, verdict. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const plan = planSwap(readInput(name, [swapDocument], io).document);
  return deliver(
    {
      data: plan,
      text: planText(plan),
      files: planFiles(plan),
      page: [plan],
      refused: plan.verdict.level === "do not use",
    },
    request,
    io,
  );
};
