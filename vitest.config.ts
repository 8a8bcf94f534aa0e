import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const at = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig({
  resolve: {
    alias: [
      { find: /^bellmouth$/, replacement: at("./packages/bellmouth/src/index.ts") },
      { find: /^bellmouth\/(.*)$/, replacement: at("./packages/bellmouth/src/$1/index.ts") },
      { find: "@bellmouth/simulator", replacement: at("./packages/simulator/src/index.ts") },
      { find: "@bellmouth/report/charts", replacement: at("./packages/report/src/charts.ts") },
      { find: "@bellmouth/report", replacement: at("./packages/report/src/index.ts") },
      { find: "@bellmouth/cli", replacement: at("./packages/cli/src/index.ts") },
    ],
  },
  test: {
    include: ["tests/**/*.test.ts", "packages/*/src/**/*.test.ts"],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // A line for each of some hundred files says nothing; what fails is shown in full.
    silent: "passed-only",
    // The gate reads the counts from here (tools/gate.mjs).
    reporters: process.env.VITEST_JSON === undefined ? ["dot"] : ["dot", "json"],
    ...(process.env.VITEST_JSON === undefined ? {} : { outputFile: { json: process.env.VITEST_JSON } }),
  },
});
