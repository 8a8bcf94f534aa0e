import { parentPort, workerData } from "node:worker_threads";
import { isFault } from "bellmouth";
import { type LogTask, sumUpFile } from "./log-file.js";

/** What a worker sends back: faults travel as data, because errors lose their fields on the way. */
export type WorkerReply =
  | { readonly ok: true; readonly outcome: ReturnType<typeof sumUpFile> }
  | { readonly ok: false; readonly fault: Record<string, unknown> | null; readonly message: string };

function reply(task: LogTask): WorkerReply {
  try {
    return { ok: true, outcome: sumUpFile(task) };
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    if (!isFault(error)) return { ok: false, fault: null, message };
    const { code, sentence, found, accepted, at } = error;
    return { ok: false, fault: { code, message: sentence, found, accepted, at }, message };
  }
}

parentPort?.postMessage(reply(workerData as LogTask));
