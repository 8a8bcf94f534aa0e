import { defineConfig } from "tsup";

export default defineConfig({
  entry: ["src/index.ts", "src/main.ts", "src/log-worker.ts"],
  format: ["esm"],
  dts: { entry: "src/index.ts" },
  clean: true,
  metafile: true,
  splitting: true,
  treeshake: true,
  target: "node20",
});
