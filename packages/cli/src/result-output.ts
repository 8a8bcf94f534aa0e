import { resolve } from "node:path";
import { type Account, toText } from "bellmouth/account";
import { writeResultFile, writeResultFolder } from "bellmouth/files";
import type { CommandIo, Outcome, Request } from "./command.js";
import { EXIT, type ExitCode } from "./exit-codes.js";
import { outputTargets } from "./output-targets.js";
import { plain } from "./words.js";

/** A result that a command has computed. */
export interface Delivery {
  /** For `--json`. */
  readonly data: unknown;
  /** What it has to say: the terminal's text and the page are made from it. */
  readonly accounts: readonly Account[];
  /** For people, where it is not the accounts' own text. */
  readonly text?: string;
  /** Files for `--out`. */
  readonly files: readonly { readonly name: string; readonly text: string }[];
  /** Heading of the page; the account's own where left out. */
  readonly title?: string;
}

/**
 * Writes the files where `--out` says, the page where `--report` says and the pictures where `--pictures` says, and gives
 * the outcome with cautions.
 */
export async function deliver(result: Delivery, request: Request, io: CommandIo): Promise<Outcome> {
  const { out, report, pictures, together, replace } = outputTargets(request, io);
  const asked = (out ?? report ?? pictures) !== undefined;
  const looked = asked ? await lookOf(result, pictures !== undefined, io) : undefined;
  let written = "";
  if (out !== undefined) {
    const files = [
      ...result.files,
      ...(looked === undefined ? [] : [{ name: "report.html", text: looked.page }]),
    ];
    const all = together && looked !== undefined ? [...files, ...looked.pictures] : files;
    written += writeFolder(all, nameList(all), out, replace, io);
  }
  if (report !== undefined && looked !== undefined) {
    writeResultFile(resolve(io.cwd, report), looked.page, { replace });
    written += `wrote ${plain(report, 300)}\n`;
  }
  if (pictures !== undefined && looked !== undefined && !together) {
    const count = `${looked.pictures.length} pictures`;
    written += writeFolder(looked.pictures, count, pictures, replace, io);
  }
  return {
    data: result.data,
    text: result.text ?? result.accounts.map(toText).join("\n"),
    notes: `${written}${cautionText(result.accounts)}`,
    code: exitOf(result.accounts, request),
  };
}

/** A refused table always ends with `unsafe`; one that needs a decision does in pipelines that asked for it. */
function exitOf(accounts: readonly Account[], request: Request): ExitCode {
  const is = (level: Account["verdict"]["level"]): boolean =>
    accounts.some(({ verdict }) => verdict.level === level);
  if (is("do not use")) return EXIT.unsafe;
  return request.options.has("strict") && is("decision needed") ? EXIT.undecided : EXIT.done;
}

type File = Delivery["files"][number];

const nameList = (files: readonly File[]): string => files.map((file) => file.name).join(", ");

/** Writes a folder, and says what was written and what was found there. */
function writeFolder(
  files: readonly File[],
  what: string,
  target: string,
  replace: boolean,
  io: CommandIo,
): string {
  const kept = writeResultFolder(resolve(io.cwd, target), byName(files), { replace });
  const others =
    kept.length === 0
      ? ""
      : `kept ${kept.map((name) => plain(name, 100)).join(", ")}: saved there by others meanwhile\n`;
  return `wrote ${what} to ${plain(target, 300)}\n${others}`;
}

const byName = (files: readonly File[]): Record<string, string> =>
  Object.fromEntries(files.map((file) => [file.name, file.text]));

/** The page is a library of its own, loaded when something to look at is wanted. */
async function lookOf(
  { accounts, title }: Delivery,
  pictures: boolean,
  io: CommandIo,
): Promise<{ readonly page: string; readonly pictures: readonly File[] }> {
  const { accountPage, apartFromEachOther, figureSvg, figuresIn } = await import("@bellmouth/report");
  return {
    page: accountPage(accounts, {
      ...(title === undefined ? {} : { title }),
      ...(io.now === undefined ? {} : { date: io.now().toISOString().slice(0, 10) }),
    }),
    pictures: pictures
      ? apartFromEachOther(accounts)
          .flatMap(figuresIn)
          .map((figure) => ({ name: `${figure.id}.svg`, text: figureSvg(figure) }))
      : [],
  };
}

/** The cautions of all accounts, each once, as text for a terminal. */
export function cautionText(accounts: readonly Account[]): string {
  const all = [...new Set(accounts.flatMap(({ cautions }) => cautions))];
  return all.length === 0 ? "" : `Before you drive:\n${all.map((caution) => `- ${caution}\n`).join("")}`;
}
