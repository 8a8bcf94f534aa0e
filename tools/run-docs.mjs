// Runs every code block of the README and the docs, as a reader would, from the root of the repository:
//   ```sh        each line is run; `npm run …` and `npm test` lines are the gate's own business and are only counted
//   ```js / ts   run as a module (types stripped) against the built packages
//   ```text      directly after a run block: every line must appear in that block's output, in order;
//                a line `…` stands for any lines, and `…` inside a line for any text
//   ```yaml / json / csv   shown, not run: documents in guides are files under examples/, quoted here, and checked to be equal to a part of one
// Results go to out/, which is removed first. A file without any block is fine; no blocks at all is a failure.
import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";

const root = new URL("../", import.meta.url).pathname;
const list = (folder) =>
  readdirSync(join(root, folder), { withFileTypes: true }).flatMap((entry) =>
    entry.isDirectory() ? list(join(folder, entry.name)) : [join(folder, entry.name)],
  );
const pages = ["README.md", ...list("docs").filter((path) => /\/(guides|concepts)\/.*\.md$/.test(path))];
const only = process.argv[2];
// A package manager that runs this leaves its settings in the environment, and npx complains of those it does not know.
const environment = Object.fromEntries(
  Object.entries(process.env).filter(([name]) => !/^npm_config_/i.test(name)),
);
const documents = list("examples").filter((path) => /\.(ya?ml|json|csv)$/.test(path));

let failures = 0;
let ran = 0;
const fail = (where, why) => {
  failures += 1;
  console.log(`FAIL ${where}: ${why}`);
};

function shows(output, expected) {
  const pattern = expected
    .trim()
    .split("\n")
    .map((line) =>
      line.trim() === "…"
        ? "[\\s\\S]*?"
        : `${line
            .trimEnd()
            .split("…")
            .map((part) => part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"))
            .join(".*?")}[ \\t]*\\n`,
    )
    .join("");
  return new RegExp(pattern).test(`${output.replace(/\r/g, "").trimEnd()}\n`);
}

for (const page of pages) {
  if (only !== undefined && !page.includes(only)) continue;
  rmSync(join(root, "out"), { recursive: true, force: true });
  const text = readFileSync(join(root, page), "utf8");
  const blocks = [...text.matchAll(/^```(\w*)[^\n]*\n([\s\S]*?)^```$/gm)];
  let last;
  for (const block of blocks) {
    const [, kind, body] = block;
    const where = `${page}:${text.slice(0, block.index).split("\n").length}`;
    if (kind === "sh") {
      let output = "";
      for (const line of body.split("\n").map((raw) => raw.replace(/\s+#.*$/, "").trim())) {
        if (line === "") continue;
        ran += 1;
        if (/^(npm (run|test|ci|install)|git |cd |bash \.ci\/run)/.test(line)) continue;
        const run = spawnSync("bash", ["-c", line], {
          cwd: root,
          encoding: "utf8",
          env: { ...environment, PATH: `${join(root, "node_modules/.bin")}:${process.env.PATH}` },
        });
        output += run.stdout + run.stderr;
        // A guide may show a refusal on purpose: it says so with `# exits N`.
        const wanted = Number(
          /#\s*exits (\d+)/.exec(body.split("\n").find((raw) => raw.includes(line)) ?? "")?.[1] ?? 0,
        );
        if (run.status !== wanted)
          fail(where, `\`${line}\` ended with ${run.status}\n${run.stdout}${run.stderr}`);
      }
      last = output;
    } else if (kind === "js" || kind === "ts") {
      ran += 1;
      const file = join(root, `.docs-block-${process.pid}.mjs`);
      writeFileSync(
        file,
        ts.transpileModule(body, {
          compilerOptions: {
            target: ts.ScriptTarget.ES2022,
            module: ts.ModuleKind.ESNext,
            verbatimModuleSyntax: true,
          },
        }).outputText,
      );
      const run = spawnSync(process.execPath, [file], { cwd: root, encoding: "utf8" });
      rmSync(file);
      if (run.status !== 0) fail(where, `the block ended with ${run.status}\n${run.stdout}${run.stderr}`);
      last = run.stdout;
    } else if (kind === "text") {
      if (last !== undefined && !shows(last, body))
        fail(where, `the output is not as shown; it is:\n${last}`);
    } else if (kind === "yaml" || kind === "csv" || kind === "json") {
      const wanted = body.trim().split(/\n…\n|\n…$|^…\n/m);
      const found = documents.some((path) => {
        const whole = readFileSync(join(root, path), "utf8");
        return wanted.every((part) => whole.includes(part.trim()));
      });
      if (!found) fail(where, "the quoted document is not part of any file under examples/");
    } else {
      fail(
        where,
        `a block marked "${kind}" is neither run nor checked: mark it sh, js, ts, text, yaml, csv or json`,
      );
    }
  }
  const links = [...text.matchAll(/\]\((?!https?:)([^)#\s]+)(?:#[^)]*)?\)/g)].map((match) => match[1]);
  for (const link of links) {
    const target = join(root, page, "..", link);
    if (spawnSync("test", ["-e", target]).status !== 0) fail(page, `broken link ${link}`);
  }
  console.log(`${page}: ${blocks.length} blocks, ${links.length} links`);
}
rmSync(join(root, "out"), { recursive: true, force: true });
if (ran === 0) fail("docs", "no block was run");
console.log(`${ran} commands and code blocks run, ${failures} failures`);
process.exit(failures === 0 ? 0 : 1);
