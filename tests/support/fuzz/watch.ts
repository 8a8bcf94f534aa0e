import { Worker } from "node:worker_threads";
import { isFault } from "bellmouth";

/** Longest that one case may take [s]: the slowest honest one takes a few tenths, on a machine that does other work. */
const LONGEST = 20;

// A loop without end cannot be timed out from inside its own thread: a second thread looks at a counter, and when it
// stands still says which case it was and ends the process.
const GUARD = `
const { workerData } = require("node:worker_threads");
const count = new Int32Array(workerData.shared, 0, 2);
const text = new Uint8Array(workerData.shared, 8);
for (let before = -1, still = 0; ; ) {
  Atomics.wait(count, 1, 0, 1000);
  if (Atomics.load(count, 1) !== 0) break;
  const now = Atomics.load(count, 0);
  still = now === before && now % 2 === 1 ? still + 1 : 0;
  before = now;
  if (still >= workerData.longest) {
    const end = text.indexOf(0);
    require("node:fs").writeSync(2, "\\na case does not end:\\n" + Buffer.from(text.slice(0, end < 0 ? undefined : end)).toString() + "\\n");
    process.kill(process.pid, "SIGKILL");
  }
}`;

/** Own properties of what every object inherits from. */
const inherited = (): number =>
  [Object, Array, Function, String, Number, Map, Promise].reduce(
    (sum, { prototype }) => sum + Reflect.ownKeys(prototype).length,
    0,
  );

export interface Watch {
  /** Runs a case: anything thrown but a fault of ours fails, and so does a prototype that gained a key. */
  readonly run: <T>(label: string, body: () => T) => T | undefined;
  readonly runAsync: <T>(label: string, body: () => Promise<T>) => Promise<T | undefined>;
  /** Cases run so far. */
  readonly cases: () => number;
  /** Cases that ended without a fault. */
  readonly good: () => number;
  readonly end: () => void;
}

/** Watches fuzzing cases for crashes, hangs and polluted prototypes. */
export function startWatch(longest = LONGEST): Watch {
  const shared = new SharedArrayBuffer(8 + 4096);
  const count = new Int32Array(shared, 0, 2);
  const text = new Uint8Array(4096 - 1);
  const shown = new Uint8Array(shared, 8);
  const guard = new Worker(GUARD, { eval: true, workerData: { shared, longest } });
  guard.unref();
  const keys = inherited();
  const encoder = new TextEncoder();
  let cases = 0;
  let good = 0;
  const begin = (label: string): void => {
    cases++;
    // The encoder does not write into shared memory.
    const { written } = encoder.encodeInto(label, text);
    shown.set(text.subarray(0, written));
    shown[written] = 0;
    Atomics.add(count, 0, 1);
  };
  const faulted = (error: unknown): undefined => {
    if (!isFault(error)) throw error;
    return undefined;
  };
  const finish = (): void => {
    Atomics.add(count, 0, 1);
    if (inherited() !== keys) throw new Error("a prototype gained or lost a key");
  };
  return {
    run: (label, body) => {
      begin(label);
      try {
        const result = body();
        good++;
        return result;
      } catch (error) {
        return faulted(error);
      } finally {
        finish();
      }
    },
    runAsync: async (label, body) => {
      begin(label);
      try {
        const result = await body();
        good++;
        return result;
      } catch (error) {
        return faulted(error);
      } finally {
        finish();
      }
    },
    cases: () => cases,
    good: () => good,
    end: () => {
      Atomics.store(count, 1, 1);
      Atomics.notify(count, 1);
    },
  };
}
