import { BellmouthError } from "../fault/index.js";
import { type Disk, leftBehind, tidy } from "./disk.js";
import { fileFault } from "./file-fault.js";

/** How long a run waits for another that writes into the same place [ms]: a write takes some hundredths of a second. */
const LONGEST_WAIT = 10_000;
const STEP = 20;
/** A lock that says nothing for so long was left by a run that was killed between making and filling it [ms]. */
const UNREADABLE = 2_000;

/**
 * Runs a step while no other run of ours writes to the same target. The lock is a file that names the process; one whose
 * process is over is taken away.
 *
 * @param lock   path of the lock
 * @param target how messages call what is locked
 * @throws `E_EXISTS` when another run keeps it for 10 s; `E_FILE` when the disk takes no lock
 */
export function locked<T>(lock: string, target: string, disk: Disk, step: () => T): T {
  takeLock(lock, target, disk);
  try {
    return step();
  } finally {
    tidy(() => disk.removeFile(lock));
  }
}

function takeLock(lock: string, target: string, disk: Disk): void {
  try {
    for (let waited = 0; !disk.claim(lock, `${disk.processId} ${disk.host}\n`); waited += STEP) {
      const holder = holderOf(lock, disk);
      const over =
        holder === undefined
          ? waited >= UNREADABLE
          : holder.host === disk.host && leftBehind(holder.processId, disk);
      if (over) disk.removeFile(lock);
      else if (waited >= LONGEST_WAIT) throw heldFault(lock, target, holder);
      else disk.wait(STEP);
    }
  } catch (error) {
    if (error instanceof BellmouthError) throw error;
    throw fileFault(error, "write there", target, "; nothing was changed");
  }
}

interface Holder {
  readonly processId: number;
  readonly host: string;
}

/** Undefined when the lock is not filled yet or gone meanwhile. */
function holderOf(lock: string, disk: Disk): Holder | undefined {
  let text = "";
  tidy(() => {
    text = new TextDecoder().decode(disk.read(lock));
  });
  const [, id, host] = /^([1-9]\d*) (.*)\n$/u.exec(text) ?? [];
  return id === undefined || host === undefined ? undefined : { processId: Number(id), host };
}

const heldFault = (lock: string, target: string, holder: Holder | undefined): BellmouthError =>
  new BellmouthError({
    code: "E_EXISTS",
    message: "another run is writing there; nothing was changed",
    found: holder === undefined ? lock : `process ${holder.processId} on ${holder.host}`,
    accepted: `the same command once that run is over; if there is none, remove ${lock}`,
    at: { file: target },
  });
