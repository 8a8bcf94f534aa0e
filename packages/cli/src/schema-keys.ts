import { plain } from "./words.js";

/** The parts of a JSON Schema that say what a document may hold. */
interface SchemaNode {
  readonly type?: string | readonly string[];
  readonly description?: string;
  readonly properties?: { readonly [key: string]: SchemaNode };
  readonly required?: readonly string[];
  readonly items?: SchemaNode;
  readonly anyOf?: readonly SchemaNode[];
  readonly oneOf?: readonly SchemaNode[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly examples?: readonly unknown[];
}

/**
 * The keys of a document as a list for people: indented as they stand in the document, what each means, and an example.
 * `*` marks a key that its block must have, `-` the first of a list's entry. A block that stands in several places is listed once.
 */
export function schemaKeys(schema: object): string {
  const lines: string[] = [];
  const known = new Map<string, string>();
  const walk = (node: SchemaNode, depth: number, path: string, list: boolean): void => {
    let first = list;
    for (const [key, child] of Object.entries(node.properties ?? {})) {
      const must = node.required?.includes(key) === true ? "*" : "";
      const lead = `${"  ".repeat(depth)}${first ? "- " : list ? "  " : ""}${key}${must}`;
      first = false;
      const here = path === "" ? key : `${path}.${key}`;
      const inner = [child, ...(child.anyOf ?? []), ...(child.oneOf ?? [])];
      const blocks = inner.filter((one) => one.properties !== undefined);
      const entries = inner.flatMap((one) => (one.items === undefined ? [] : [one.items]));
      const shape = JSON.stringify([blocks, entries]);
      const before = blocks.length + entries.length === 0 ? undefined : known.get(shape);
      lines.push(`${lead}: ${meaning(child)}${before === undefined ? "" : ` As ${before}.`}`.trimEnd());
      if (before !== undefined) continue;
      if (blocks.length + entries.length > 0) known.set(shape, here);
      for (const block of blocks) walk(block, depth + (list ? 2 : 1), here, false);
      for (const entry of entries.flatMap((one) => [one, ...(one.anyOf ?? []), ...(one.oneOf ?? [])]))
        walk(entry, depth + (list ? 2 : 1), here, true);
    }
  };
  walk(schema as SchemaNode, 0, "", false);
  return `${lines.join("\n")}\n`;
}

function meaning(node: SchemaNode): string {
  const variants = [...(node.anyOf ?? []), ...(node.oneOf ?? [])];
  const wordOf = (one: SchemaNode): unknown =>
    one.const ?? (one.enum?.length === 1 ? one.enum[0] : undefined);
  const words = variants.filter((one) => wordOf(one) !== undefined);
  const rest = [node, ...variants.filter((one) => wordOf(one) === undefined)];
  const about = rest
    .find((one) => one.description !== undefined)
    ?.description?.replace(/ Units: [^.]*\.$/u, "");
  const blocks = rest.some((one) => one.properties !== undefined);
  const choices = rest.flatMap((one) => one.enum ?? []);
  const examples = rest.flatMap((one) => one.examples ?? []);
  return plain(
    [
      about ?? "",
      node.const === undefined ? "" : `Always: ${String(node.const)}`,
      choices.length === 0 ? "" : `One of: ${choices.map(String).join(", ")}.`,
      choices.length > 0 || examples.length === 0
        ? ""
        : `Example: ${examples.slice(0, 2).map(String).join("; ")}`,
      ...words.map(
        (one) =>
          `${about === undefined ? "The" : "Or the"} word '${String(wordOf(one))}': ${one.description ?? ""}`,
      ),
      words.length > 0 && blocks ? "Or a block:" : "",
    ]
      .filter((part) => part !== "")
      .join(" "),
    600,
  );
}
