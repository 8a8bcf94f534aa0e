import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const packages = new URL("../../packages/", import.meta.url);
const source = (path: string): string => fileURLToPath(new URL(path, packages));

/** Bundles a source file with everything it uses, so that a plain Node can run it: no build is needed before. */
export async function bundle(entry: string, outfile: string): Promise<void> {
  await build({
    entryPoints: [source(entry)],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    logLevel: "silent",
    // Some dependencies are CommonJS inside.
    banner: {
      js: 'import { createRequire as makeRequire } from "node:module"; const require = makeRequire(import.meta.url);',
    },
    plugins: [
      {
        name: "workspace",
        setup: ({ onResolve }) => {
          onResolve({ filter: /^bellmouth(\/|$)/ }, ({ path }) => ({
            path: source(`bellmouth/src/${path.slice("bellmouth".length + 1)}/index.ts`),
          }));
          onResolve({ filter: /^@bellmouth\// }, ({ path }) => ({
            path: source(`${path.slice("@bellmouth/".length)}/src/index.ts`),
          }));
        },
      },
    ],
  });
}
