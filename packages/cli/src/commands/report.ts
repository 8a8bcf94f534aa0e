import { resolve } from "node:path";
import { BellmouthError, isFault } from "bellmouth";
import { accountOf } from "bellmouth/account";
import { readTextFile } from "bellmouth/files";
import { type AnyResult, readResult } from "bellmouth/stage";
import { gathered } from "bellmouth/text";
import type { CommandBody, CommandIo } from "../command.js";
import { columns } from "../help.js";
import { deliver } from "../result-output.js";
import { plain } from "../words.js";

/** Shows stored results together. */
export const body: CommandBody = (request, io) => {
  if (!request.options.has("report") && !request.options.has("pictures")) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: "'report' needs to know where to write",
      accepted: "--report FILE, --pictures FOLDER, or both",
    });
  }
  const results = readAll(request.positionals, io);
  const title = request.options.get("title");
  const shown = results.map(({ name, result }) => ({
    file: name,
    bellmouth: result.bellmouth,
    title: result.title,
  }));
  return deliver(
    {
      data: { results: shown },
      text: columns(
        shown.map((one) => [plain(one.file, 300), `${one.bellmouth}  ${plain(one.title, 200)}`] as const),
        "",
      ),
      files: [],
      accounts: results.map(({ result }) => accountOf(result)),
      ...(title === undefined ? {} : { title }),
    },
    request,
    io,
  );
};

/** Reads every file before it complains, so that all mistakes are seen at once. */
function readAll(
  names: readonly string[],
  io: CommandIo,
): readonly { readonly name: string; readonly result: AnyResult }[] {
  const faults: BellmouthError[] = [];
  const results = names.flatMap((name) => {
    try {
      io.inputs.add(resolve(io.cwd, name));
      return [{ name, result: readResult(readTextFile(resolve(io.cwd, name), name), name) }];
    } catch (error) {
      if (!isFault(error)) throw error;
      faults.push(error);
      return [];
    }
  });
  if (faults.length > 0) throw gathered(faults);
  return results;
}
