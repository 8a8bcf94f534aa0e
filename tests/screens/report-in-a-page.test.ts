import { build } from "esbuild";
import { describe, expect, it } from "vitest";

const root = new URL("../../", import.meta.url).pathname;

describe("the report package", () => {
  it("P7: is taken by a bundler for browsers: nothing in it needs Node", async () => {
    const { outputFiles, errors } = await build({
      stdin: {
        contents: 'export { accountPage, figureSvg, reportPage } from "./packages/report/src/index.ts";',
        resolveDir: root,
      },
      bundle: true,
      write: false,
      format: "esm",
      platform: "browser",
      logLevel: "silent",
      tsconfig: `${root}tsconfig.json`,
    });
    expect(errors).toEqual([]);
    expect(outputFiles[0]?.text.length ?? 0).toBeGreaterThan(10_000);
    expect(outputFiles[0]?.text).not.toMatch(/(from|require\()\s*"node:/);
  });
});
