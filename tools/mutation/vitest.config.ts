import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { mergeConfig } from "vitest/config";
import base from "../../vitest.config.js";

// One source file is served in a changed form; nothing on the disk is touched.
const { MUTANT_FILE: file, MUTANT_SOURCE: source } = process.env;

export default mergeConfig(base, {
  root: fileURLToPath(new URL("../../", import.meta.url)),
  plugins: [
    {
      name: "mutant",
      enforce: "pre",
      load: (id: string) =>
        file !== undefined && source !== undefined && id.split("?")[0] === file
          ? readFileSync(source, "utf8")
          : null,
    },
  ],
});
