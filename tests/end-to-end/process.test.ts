import { spawnSync } from "node:child_process";
import { closeSync, openSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { EXIT } from "@bellmouth/cli";
import { expect, it } from "vitest";

const program = fileURLToPath(new URL("../../packages/cli/bin/bellmouth.mjs", import.meta.url));

it("P8: runs where the environment may not be read", () => {
  // As in a runtime that asks for a right to each variable: the look throws.
  const refusing = `data:text/javascript,${encodeURIComponent(`
    const environment = process.env;
    Object.defineProperty(process, "env", { value: new Proxy(environment, {
      get: (target, name) => { if (name === "BELLMOUTH_TRACE") throw new Error("NotCapable"); return target[name]; } }) });`)}`;
  const ran = spawnSync(process.execPath, ["--import", refusing, program, "units", "mass"], {
    encoding: "utf8",
  });
  expect(ran.stderr).toBe("");
  expect(ran.status).toBe(EXIT.done);
  expect(ran.stdout).toContain("kg");
});

it.skipIf(process.platform !== "linux")(
  "F5: a full disk behind standard output is told, without a trace",
  () => {
    const full = openSync("/dev/full", "w");
    try {
      const ran = spawnSync(process.execPath, [program, "units"], {
        encoding: "utf8",
        stdio: ["ignore", full, "pipe"],
      });
      expect(ran.stderr).toBe("standard output: it could not be written: the disk is full [E_FILE]\n");
      expect(ran.status).toBe(EXIT.file);
    } finally {
      closeSync(full);
    }
  },
);
