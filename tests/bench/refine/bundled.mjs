// Bundles a TypeScript file of this folder with a chosen tree's library in it: sources, not builds.
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const root = fileURLToPath(new URL("../../../", import.meta.url));

/**
 * @param name file of this folder
 * @param folder where the bundle goes
 * @param library root of the tree whose library is taken; simulator and scoring are always this tree's
 */
export async function bundled(name, folder, library = root) {
  const outfile = join(folder, name.replace(/\.ts$/, ".mjs"));
  await build({
    entryPoints: [fileURLToPath(new URL(name, import.meta.url))],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    logLevel: "error",
    plugins: [
      {
        name: "sources",
        setup({ onResolve }) {
          onResolve({ filter: /^bellmouth(\/.*)?$/ }, ({ path }) => ({
            path: join(library, "packages/bellmouth/src", path.slice("bellmouth".length), "index.ts"),
          }));
          onResolve({ filter: /^@bellmouth\/simulator$/ }, () => ({
            path: join(root, "packages/simulator/src/index.ts"),
          }));
        },
      },
    ],
    absWorkingDir: root,
  });
  return outfile;
}
