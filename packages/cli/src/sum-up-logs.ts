import { existsSync } from "node:fs";
import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { Worker } from "node:worker_threads";
import { type BellmouthError, isFault } from "bellmouth";
import type { LogOutcome } from "bellmouth/stage";
import { gathered } from "bellmouth/text";
import { type LogTask, sumUpFile } from "./log-file.js";
import type { WorkerReply } from "./log-worker.js";
import { receivedFault } from "./worker-fault.js";

const WORKER = new URL("./log-worker.js", import.meta.url);

/**
 * Sums up many logs, a worker for each while cores are free. One log, or a program without its worker file, is read in place:
 * starting a worker costs more than it gives, and a thread that reads ahead was no faster and took twice the memory.
 *
 * @throws every log's fault, gathered
 */
export async function sumUpLogs(tasks: readonly LogTask[]): Promise<readonly LogOutcome[]> {
  const faults: BellmouthError[] = [];
  const outcomes = new Array<LogOutcome | undefined>(tasks.length);
  const inPlace = tasks.length < 2 || !existsSync(fileURLToPath(WORKER));
  const one = inPlace ? sumUpFile : inWorker;
  let next = 0;
  const lane = async (): Promise<void> => {
    for (let i = next++; i < tasks.length; i = next++) {
      try {
        outcomes[i] = await one(tasks[i] as LogTask);
      } catch (error) {
        if (!isFault(error)) throw error;
        faults.push(error);
      }
    }
  };
  await Promise.all(
    Array.from({ length: Math.max(1, Math.min(tasks.length, availableParallelism())) }, lane),
  );
  if (faults.length > 0) throw gathered(faults);
  return outcomes as LogOutcome[];
}

function inWorker(task: LogTask): Promise<LogOutcome> {
  return new Promise((done, fail) => {
    const worker = new Worker(WORKER, { workerData: task });
    worker.once("message", (reply: WorkerReply) =>
      reply.ok ? done(reply.outcome) : fail(receivedFault(reply)),
    );
    worker.once("error", fail);
    worker.once("exit", (code) => {
      if (code !== 0) fail(new Error(`a log's worker ended with code ${code}`));
    });
  });
}
