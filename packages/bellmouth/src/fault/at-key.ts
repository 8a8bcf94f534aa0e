import { BellmouthError, faultDetails, isFault } from "./bellmouth-error.js";

/**
 * Runs a step that works on what a key of a document says. A fault that knows no file is told under that key: the names of
 * the parameters inside mean nothing to whoever wrote the document.
 *
 * @param path path of the key, as `new.donor.table`
 * @throws what the step throws
 */
export function atKey<T>(path: string, step: () => T): T {
  try {
    return step();
  } catch (error) {
    if (!isFault(error) || error.at?.file !== undefined || error.at?.line !== undefined) throw error;
    throw new BellmouthError({ ...faultDetails(error), at: { path } });
  }
}
