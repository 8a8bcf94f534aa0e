import { parentPort, workerData } from "node:worker_threads";
import type { LogOutcome } from "bellmouth/stage";
import { type LogTask, sumUpFile } from "./log-file.js";
import { sentFault, type WorkerFault } from "./worker-fault.js";

/** What the worker of one log sends back. */
export type WorkerReply = { readonly ok: true; readonly outcome: LogOutcome } | WorkerFault;

function reply(task: LogTask): WorkerReply {
  try {
    return { ok: true, outcome: sumUpFile(task) };
  } catch (error) {
    return sentFault(error);
  }
}

parentPort?.postMessage(reply(workerData as LogTask));
