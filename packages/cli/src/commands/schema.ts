import { BellmouthError } from "bellmouth";
import { DOCUMENT_KINDS, documentSchema } from "bellmouth/document";
import { didYouMean } from "bellmouth/text";
import type { CommandBody } from "../command.js";
import { columns } from "../help.js";
import { schemaKeys } from "../schema-keys.js";
import { plain } from "../words.js";

/** Prints the JSON Schema of a kind of document, its keys as a list for people, or the kinds. */
export const body: CommandBody = (request) => {
  const [name] = request.positionals;
  const names = DOCUMENT_KINDS.map((kind) => kind.name);
  if (name === undefined) {
    return {
      data: DOCUMENT_KINDS.map(({ name: each, version, about }) => ({ name: each, version, about })),
      text: columns(
        DOCUMENT_KINDS.map((kind) => [kind.name, kind.about] as const),
        "",
      ),
    };
  }
  const kind = DOCUMENT_KINDS.find((one) => one.name === name);
  if (kind === undefined) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: `there is no such kind of document${didYouMean(name, names)}`,
      found: `'${plain(name)}'`,
      accepted: names.join(", "),
    });
  }
  const schema = documentSchema(kind);
  if (request.options.has("keys")) return { data: schema, text: schemaKeys(schema) };
  return { data: schema, text: `${JSON.stringify(schema, null, 2)}\n` };
};
