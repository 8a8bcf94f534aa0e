import { defineConfig } from "tsup";

export default defineConfig({
  entry: ["src/index.ts", "src/charts.ts"],
  format: ["esm"],
  dts: true,
  clean: true,
  metafile: true,
  treeshake: true,
  target: "node20",
});
