import { BellmouthError, type FaultDetails, faultDetails, isFault } from "bellmouth";

/** What went wrong in a worker: faults travel as data, because errors lose their fields on the way. */
export interface WorkerFault {
  readonly ok: false;
  readonly fault: FaultDetails | null;
  readonly message: string;
}

/** An error as it travels. */
export function sentFault(error: unknown): WorkerFault {
  const message = error instanceof Error ? error.message : String(error);
  if (!isFault(error)) return { ok: false, fault: null, message };
  return { ok: false, fault: faultDetails(error), message };
}

/** The error that was sent. */
export const receivedFault = ({ fault, message }: WorkerFault): Error =>
  fault === null ? new Error(message) : new BellmouthError(fault);
