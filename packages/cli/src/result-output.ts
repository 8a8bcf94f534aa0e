import { resolve } from "node:path";
import type { AnyResult } from "@bellmouth/report";
import { BellmouthError } from "bellmouth";
import { writeResultFile, writeResultFolder } from "bellmouth/files";
import { CAUTIONS } from "bellmouth/stage";
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
  /** Heading of that page; the result's own where left out. */
  readonly title?: string;
  /** Set when the safety rules refuse the result; its files then hold no table to load. */
  readonly refused?: boolean;
  /** Set when the text shows the cautions itself. */
  readonly cautioned?: boolean;
}

/**
 * Writes the files where `--out` says, the page where `--report` says and the pictures where `--pictures` says, and gives
 * the outcome with cautions.
 */
export async function deliver(result: Delivery, request: Request, io: Io): Promise<Outcome> {
  const out = request.options.get("out");
  const report = request.options.get("report");
  const pictures = request.options.get("pictures");
  const replace = request.options.has("replace");
  const asked = [out, report, pictures].some((target) => target !== undefined);
  if (!asked && replace) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: "'--replace' needs something to write",
      accepted: "--replace with --out, --report or --pictures",
    });
  }
  const looked = asked ? await lookOf(result, pictures !== undefined) : undefined;
  if (looked === undefined && (report ?? pictures) !== undefined) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: "this command has no page to show",
      found: report === undefined ? "'--pictures'" : "'--report'",
    });
  }
  let written = "";
  if (out !== undefined) {
    const files = [
      ...result.files,
      ...(looked === undefined ? [] : [{ name: "report.html", text: looked.page }]),
    ];
    writeResultFolder(resolve(io.cwd, out), byName(files), { replace });
    written += `wrote ${files.map((file) => file.name).join(", ")} to ${plain(out, 300)}\n`;
  }
  if (report !== undefined && looked !== undefined) {
    writeResultFile(resolve(io.cwd, report), looked.page, { replace });
    written += `wrote ${plain(report, 300)}\n`;
  }
  if (pictures !== undefined && looked !== undefined) {
    writeResultFolder(resolve(io.cwd, pictures), byName(looked.pictures), { replace });
    written += `wrote ${looked.pictures.length} pictures to ${plain(pictures, 300)}\n`;
  }
  const cautions = result.cautioned === true ? "" : cautionText();
  return {
    data: result.data,
    text: result.text,
    notes: `${written}${cautions}`,
    code: result.refused === true ? EXIT.unsafe : EXIT.done,
  };
}

type File = Delivery["files"][number];

const byName = (files: readonly File[]): Record<string, string> =>
  Object.fromEntries(files.map((file) => [file.name, file.text]));

/** The page is a library of its own, loaded when something to look at is wanted. */
async function lookOf(
  { page, title }: Delivery,
  pictures: boolean,
): Promise<{ readonly page: string; readonly pictures: readonly File[] } | undefined> {
  if (page === undefined || page.length === 0) return undefined;
  const { figureSvg, reportFigures, reportPage } = await import("@bellmouth/report");
  return {
    page: reportPage(page, title === undefined ? {} : { title }),
    pictures: pictures
      ? reportFigures(page).map((figure) => ({ name: `${figure.id}.svg`, text: figureSvg(figure) }))
      : [],
  };
}

/** The cautions as text for a terminal. */
export const cautionText = (): string =>
  `Before you drive:\n${CAUTIONS.map((caution) => `- ${caution}\n`).join("")}`;
