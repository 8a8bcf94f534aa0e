import { resolve } from "node:path";
import { BellmouthError } from "bellmouth";
import { CAUTIONS } from "bellmouth/job";
import { writeResultFolder } from "bellmouth/job/files";
import type { Io, Outcome, Request } from "./command.js";
import { EXIT } from "./exit-codes.js";
import { plain } from "./words.js";

/** A result that a command has computed. */
export interface Delivery {
  /** For `--json`. */
  readonly data: unknown;
  /** For people: the summary. */
  readonly text: string;
  /** Files for `--out`. */
  readonly files: readonly { readonly name: string; readonly text: string }[];
  /** Set when the safety rules refuse the result; its files then hold no table to load. */
  readonly refused?: boolean;
  /** Set when the text shows the cautions itself. */
  readonly cautioned?: boolean;
}

/** Writes the files where `--out` says, and gives the outcome with cautions. */
export function deliver(result: Delivery, request: Request, io: Io): Outcome {
  const out = request.options.get("out");
  if (out === undefined && request.options.has("replace")) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: "'--replace' needs '--out'",
      accepted: "--out FOLDER --replace",
    });
  }
  if (out !== undefined) {
    const files = Object.fromEntries(result.files.map((file) => [file.name, file.text]));
    writeResultFolder(resolve(io.cwd, out), files, { replace: request.options.has("replace") });
  }
  const written =
    out === undefined
      ? ""
      : `wrote ${result.files.map((file) => file.name).join(", ")} to ${plain(out, 300)}\n`;
  const cautions = result.cautioned === true ? "" : cautionText();
  return {
    data: result.data,
    text: result.text,
    notes: `${written}${cautions}`,
    code: result.refused === true ? EXIT.unsafe : EXIT.done,
  };
}

/** The cautions as text for a terminal. */
export const cautionText = (): string =>
  `Before you drive:\n${CAUTIONS.map((caution) => `- ${caution}\n`).join("")}`;
