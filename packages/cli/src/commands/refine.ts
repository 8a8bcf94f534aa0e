import { dirname, resolve } from "node:path";
import { refineAccount, refineFiles } from "bellmouth/account";
import { refineDocument } from "bellmouth/document";
import { refineFromLogs } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import type { LogTask } from "../log-file.js";
import { deliver } from "../result-output.js";
import { sumUpLogs } from "../sum-up-logs.js";

/** Refines a table from logs of drives. */
export const body: CommandBody = async (request, io) => {
  const [name = ""] = request.positionals;
  const { document, placed } = readInput(name, [refineDocument], io);
  const folder = dirname(resolve(io.cwd, name));
  const task =
    (meter: LogTask["meter"]) =>
    (log: string): LogTask => {
      const path = resolve(folder, log);
      io.inputs.add(path);
      return { document, meter, name: log, path };
    };
  const tasks = [...document.logs.map(task("new")), ...(document.oldMeter?.logs ?? []).map(task("present"))];
  const outcomes = await sumUpLogs(tasks);
  const report = placed(() =>
    refineFromLogs(document, outcomes.slice(0, document.logs.length), outcomes.slice(document.logs.length)),
  );
  return deliver(
    { data: report, accounts: [refineAccount(report)], files: refineFiles(report) },
    request,
    io,
  );
};
