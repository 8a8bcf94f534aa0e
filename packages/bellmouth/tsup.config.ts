import { defineConfig } from "tsup";

const rooms = ["units", "fit", "air", "curve", "sensor", "intake", "drive", "job", "job/files"];

export default defineConfig({
  entry: ["src/index.ts", ...rooms.map((room) => `src/${room}/index.ts`)],
  format: ["esm"],
  dts: true,
  sourcemap: false,
  clean: true,
  metafile: true,
  splitting: true,
  treeshake: true,
  target: "node20",
  // Bundled, because loading mathjs file by file costs about half a second and bundled about 60 ms
  // (docs/decisions/0002-dependencies.md). Their licences travel in dist/THIRD-PARTY.md.
  noExternal: ["mathjs", "ml-levenberg-marquardt", "ml-matrix", "ml-regression", "papaparse", "yaml", "zod"],
});
