import { resolve } from "node:path";
import type { AnyResult } from "@bellmouth/report";
import { BellmouthError } from "bellmouth";
import { CAUTIONS } from "bellmouth/job";
import { writeResultFile, writeResultFolder } from "bellmouth/job/files";
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
  /** Results for the page to look at; the page is made only where it is written. */
  readonly page?: readonly AnyResult[];
  /** Set when the safety rules refuse the result; its files then hold no table to load. */
  readonly refused?: boolean;
  /** Set when the text shows the cautions itself. */
  readonly cautioned?: boolean;
}

/** Writes the files where `--out` says and the page where `--report` says, and gives the outcome with cautions. */
export async function deliver(result: Delivery, request: Request, io: Io): Promise<Outcome> {
  const out = request.options.get("out");
  const report = request.options.get("report");
  const replace = request.options.has("replace");
  if (out === undefined && report === undefined && replace) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: "'--replace' needs '--out' or '--report'",
      accepted: "--out FOLDER --replace",
    });
  }
  const page = out === undefined && report === undefined ? undefined : await pageOf(result);
  let written = "";
  if (out !== undefined) {
    const files = [...result.files, ...(page === undefined ? [] : [{ name: "report.html", text: page }])];
    writeResultFolder(resolve(io.cwd, out), Object.fromEntries(files.map((file) => [file.name, file.text])), {
      replace,
    });
    written += `wrote ${files.map((file) => file.name).join(", ")} to ${plain(out, 300)}\n`;
  }
  if (report !== undefined) {
    if (page === undefined) {
      throw new BellmouthError({
        code: "E_USAGE",
        message: "this command has no page to show",
        found: "'--report'",
      });
    }
    writeResultFile(resolve(io.cwd, report), page, { replace });
    written += `wrote ${plain(report, 300)}\n`;
  }
  const cautions = result.cautioned === true ? "" : cautionText();
  return {
    data: result.data,
    text: result.text,
    notes: `${written}${cautions}`,
    code: result.refused === true ? EXIT.unsafe : EXIT.done,
  };
}

/** The page is a library of its own, loaded when a page is wanted. */
async function pageOf({ page }: Delivery): Promise<string | undefined> {
  if (page === undefined || page.length === 0) return undefined;
  const { reportPage } = await import("@bellmouth/report");
  return reportPage(page);
}

/** The cautions as text for a terminal. */
export const cautionText = (): string =>
  `Before you drive:\n${CAUTIONS.map((caution) => `- ${caution}\n`).join("")}`;
