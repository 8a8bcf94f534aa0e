import { existsSync } from "node:fs";
import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { Worker } from "node:worker_threads";
import { BellmouthError, type FaultDetails } from "bellmouth";
import { gathered, type LogOutcome } from "bellmouth/job";
import { type LogTask, sumUpFile } from "./log-file.js";
import type { WorkerReply } from "./log-worker.js";

const WORKER = new URL("./log-worker.js", import.meta.url);

/**
 * Sums up many logs, a worker for each while cores are free. One log, or a program without its worker file, is read in place:
 * starting a worker costs more than it gives.
 *
 * @throws every log's fault, gathered
 */
export async function sumUpLogs(tasks: readonly LogTask[]): Promise<readonly LogOutcome[]> {
  const faults: BellmouthError[] = [];
  const outcomes = new Array<LogOutcome | undefined>(tasks.length);
  const inPlace = tasks.length < 2 || !existsSync(fileURLToPath(WORKER));
  let next = 0;
  const lane = async (): Promise<void> => {
    for (let i = next++; i < tasks.length; i = next++) {
      const task = tasks[i] as LogTask;
      const reply = inPlace ? inThisThread(task) : await inWorker(task);
      if (reply.ok) outcomes[i] = reply.outcome;
      else if (reply.fault === null) throw new Error(reply.message);
      else faults.push(new BellmouthError(reply.fault as unknown as FaultDetails));
    }
  };
  await Promise.all(
    Array.from({ length: Math.max(1, Math.min(tasks.length, availableParallelism())) }, lane),
  );
  if (faults.length > 0) throw gathered(faults);
  return outcomes as LogOutcome[];
}

function inThisThread(task: LogTask): WorkerReply {
  return { ok: true, outcome: sumUpFile(task) };
}

function inWorker(task: LogTask): Promise<WorkerReply> {
  return new Promise((done, fail) => {
    const worker = new Worker(WORKER, { workerData: task });
    worker.once("message", (reply: WorkerReply) => done(reply));
    worker.once("error", fail);
    worker.once("exit", (code) => {
      if (code !== 0) fail(new Error(`a log's worker ended with code ${code}`));
    });
  });
}
