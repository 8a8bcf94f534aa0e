import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";

export interface DocumentedFunction {
  readonly file: string;
  readonly room: string;
  readonly name: string;
  /** Whole doc comment, stars removed. */
  readonly doc: string;
  readonly parameters: readonly { readonly name: string; readonly type: string }[];
  readonly returns: string;
  readonly body: string;
  readonly examples: readonly string[];
}

const library = new URL("../../packages/bellmouth/src/", import.meta.url).pathname;

function sources(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return sources(path);
    return /\.ts$/.test(entry.name) && !/\.(test|d)\.ts$/.test(entry.name) ? [path] : [];
  });
}

/** Every exported function of the library (declarations and exported arrow constants) with its doc comment. */
export function documentedFunctions(): DocumentedFunction[] {
  return sources(library).flatMap((path) => {
    const text = readFileSync(path, "utf8");
    const file = ts.createSourceFile(path, text, ts.ScriptTarget.ES2022, true);
    const found: DocumentedFunction[] = [];
    const add = (
      name: string,
      node: ts.FunctionDeclaration | ts.ArrowFunction | ts.FunctionExpression,
      holder: ts.Node,
    ): void => {
      const comments = ts.getJSDocCommentsAndTags(holder).filter(ts.isJSDoc);
      const doc = comments
        .map((comment) => comment.getText(file).replace(/^\/\*\*|\*\/$/g, ""))
        .join("\n")
        .replace(/^[ \t]*\* ?/gm, "");
      found.push({
        file: path.slice(library.length),
        room: path.slice(library.length).split("/")[0] as string,
        name,
        doc,
        parameters: node.parameters.map((parameter) => ({
          name: parameter.name.getText(file),
          type: parameter.type?.getText(file) ?? "",
        })),
        returns: node.type?.getText(file) ?? "",
        body: node.body?.getText(file) ?? "",
        examples: [...doc.matchAll(/@example\s*\n?([\s\S]*?)(?=\n\s*@\w|$)/g)].map((match) =>
          (match[1] as string).replace(/^```\w*$/gm, "").trim(),
        ),
      });
    };
    const exported = (node: ts.HasModifiers): boolean =>
      (ts.getModifiers(node) ?? []).some((modifier) => modifier.kind === ts.SyntaxKind.ExportKeyword);
    ts.forEachChild(file, (node) => {
      if (ts.isFunctionDeclaration(node) && exported(node) && node.name !== undefined) {
        add(node.name.text, node, node);
      } else if (ts.isVariableStatement(node) && exported(node)) {
        for (const declaration of node.declarationList.declarations) {
          const { initializer } = declaration;
          if (
            initializer !== undefined &&
            (ts.isArrowFunction(initializer) || ts.isFunctionExpression(initializer))
          ) {
            add(declaration.name.getText(file), initializer, node);
          }
        }
      }
    });
    return found;
  });
}
