import { resolve } from "node:path";
import { BellmouthError } from "bellmouth";
import { relationOf } from "bellmouth/files";
import type { CommandIo, Request } from "./command.js";
import { plain } from "./words.js";

/** Where a command line wants its result. */
export interface OutputTargets {
  readonly out: string | undefined;
  readonly report: string | undefined;
  readonly pictures: string | undefined;
  /** `--out` and `--pictures` name one folder: it gets both, as one result. */
  readonly together: boolean;
  readonly replace: boolean;
}

/**
 * Where the result goes.
 *
 * @throws `E_USAGE` when there is nothing to replace, when a target would lie in another's folder, or would take the place
 *   of a file that was read
 */
export function outputTargets({ options }: Request, io: CommandIo): OutputTargets {
  const [out, report, pictures] = ["out", "report", "pictures"].map((name) => options.get(name));
  const given = (["out", "report", "pictures"] as const).flatMap((name) => {
    const value = options.get(name);
    return value === undefined ? [] : [{ name, value, path: resolve(io.cwd, value) }];
  });
  const replace = options.has("replace");
  if (given.length === 0 && replace) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: "'--replace' needs something to write",
      accepted: "--replace with --out, --report or --pictures",
    });
  }
  let together = false;
  for (const one of given) {
    for (const other of given) {
      if (one === other) continue;
      const relation = relationOf(one.path, other.path);
      if (relation === "apart") continue;
      if (relation === "same" && one.name !== "report" && other.name !== "report") together = true;
      else throw inTheWay(`'--${one.name} ${plain(one.value, 300)}' lies in the place of '--${other.name}'`);
    }
    for (const input of io.inputs) {
      if (relationOf(input, one.path) === "apart") continue;
      throw inTheWay(`'--${one.name} ${plain(one.value, 300)}' would take the place of a file that is read`);
    }
  }
  return { out, report, pictures, together, replace };
}

const inTheWay = (message: string): BellmouthError =>
  new BellmouthError({ code: "E_USAGE", message, accepted: "a name of its own" });
