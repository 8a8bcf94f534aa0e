import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { defineConfig } from "tsup";

// yaml's build for Node is CommonJS that requires "process", which an ES module cannot; the one for browsers is the same
// code as ES modules, and sheds what is not used.
const yaml = join(dirname(createRequire(import.meta.url).resolve("yaml/package.json")), "browser/index.js");

const rooms = [
  "fault",
  "units",
  "fit",
  "air",
  "curve",
  "sensor",
  "intake",
  "drive",
  "text",
  "document",
  "stage",
  "account",
  "files",
  "columns",
];

/** Without declarations, and beside those of an earlier build: what running needs, in a third of the time. */
const js = process.env.BELLMOUTH_BUILD === "js";

export default defineConfig({
  entry: ["src/index.ts", ...rooms.map((room) => `src/${room}/index.ts`)],
  format: ["esm"],
  dts: js ? false : true,
  sourcemap: false,
  clean: !js,
  metafile: true,
  splitting: true,
  treeshake: true,
  target: "node20",
  esbuildOptions: (options) => {
    options.alias = { ...options.alias, yaml };
  },
  // Bundled, because loading mathjs file by file costs about half a second and bundled about 60 ms
  // (docs/decisions/0002-dependencies.md). Their licences travel in dist/THIRD-PARTY.md.
  noExternal: ["mathjs", "ml-matrix", "papaparse", "yaml", "zod"],
});
