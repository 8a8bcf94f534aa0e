import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { COMMANDS, EXIT } from "@bellmouth/cli";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { fuzzRuns } from "../support/fuzz-runs.js";
import { type Ran, runIn } from "../support/run-in.js";
import { opener, swapText } from "../support/swap-sample.js";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-cli-"));
  writeFileSync(join(folder, "swap.yaml"), swapText);
  for (const name of ["present.csv", "donor.csv", "element.csv", "pull.csv"]) {
    writeFileSync(join(folder, name), opener()(name));
  }
  mkdirSync(join(folder, "jobs"));
  writeFileSync(join(folder, "jobs", "bad.yaml"), swapText.replace("70 mm ± 0.1 mm", "70 kg"));
  writeFileSync(join(folder, "jobs", "orphan.yaml"), swapText);
  writeFileSync(join(folder, "latin.yaml"), Buffer.from("bellmouth: swap 1\ntitle: \xfcber\n", "latin1"));
  writeFileSync(join(folder, "utf16.yaml"), Buffer.from(`\ufeff${swapText}`, "utf16le"));
  writeFileSync(join(folder, "bom.yaml"), `\ufeff${swapText.replaceAll("\n", "\r\n")}`);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const ran = (...argv: readonly string[]): Promise<Ran> => runIn(folder, argv);

describe("a command line with a slip", () => {
  it.each([
    [["chek", "swap.yaml"], /there is no such command; did you mean 'check'\?/],
    [["CHECK", "swap.yaml"], /did you mean 'check'/],
    [["make-coffee"], /there is no such command \(found 'make-coffee'; accepted: plan, /],
    [["check"], /'check' needs DOCUMENT/],
    [["check", "a.yaml", "b.yaml"], /'check' takes one argument \(found 'b\.yaml'/],
    [["check", "swap.yaml", "--jsn"], /no such option; did you mean '--json'\?/],
    [["check", "swap.yaml", "-x"], /no such option \(found '-x'; accepted: --json, --help/],
    [["check", "swap.yaml", "--json=yes"], /takes no value/],
    [["check", "swap.yaml", "--__proto__"], /no such option/],
    [["check", "swap.yaml", "--constructor=x"], /no such option/],
    [["schema", "swop"], /no such kind of document; did you mean 'swap'\?/],
    [["units", "furlongs"], /nothing of that name has units/],
    [["help", "chek"], /did you mean 'check'/],
    [["\u001b[31mred"], /found '\\u\{1b\}\[31mred'/],
  ] as const)("%j", async (argv, words) => {
    const { code, stderr, stdout } = await ran(...argv);
    expect(stderr).toMatch(words);
    expect(stderr).not.toMatch(/^\s+at /mu);
    expect(code).toBe(EXIT.usage);
    expect(stdout).toBe("");
  });
});

describe("files that are not what they should be", () => {
  it.each([
    [
      "nowhere.yaml",
      EXIT.file,
      /^nowhere\.yaml: cannot read the file: there is no such file or folder \[E_FILE\]$/m,
    ],
    ["jobs", EXIT.file, /a folder, not a file/],
    ["jobs/bad.yaml", EXIT.input, /^jobs\/bad\.yaml:9:11: present\.housing\.bore: the unit of a mass/m],
    [
      "jobs/orphan.yaml",
      EXIT.file,
      /^jobs\/orphan\.yaml:5:10: present\.table: jobs\/present\.csv: cannot read the file: there is no such file/m,
    ],
    ["present.csv", EXIT.input, /^present\.csv:1:/m],
    ["latin.yaml", EXIT.input, /^latin\.yaml:2:8: this is not UTF-8/m],
    ["/dev/zero", EXIT.file, /it is a device/],
    ["a\0b", EXIT.file, /cannot read the file/],
    ["x".repeat(5000), EXIT.file, /the name is too long/],
  ] as const)("%j", async (name, exit, words) => {
    const { code, stderr, stdout } = await ran("check", name);
    expect(stderr).toMatch(words);
    expect(stderr).not.toMatch(/^\s+at /mu);
    expect(code).toBe(exit);
    expect(stdout).toBe("");
    const asJson = await ran("check", name, "--json");
    expect(asJson.code).toBe(exit);
    expect(JSON.parse(asJson.stdout)).toMatchObject({ ok: false, exit });
  });

  it("but a byte order mark, CRLF and UTF-16 are read", async () => {
    for (const name of ["bom.yaml", "utf16.yaml"]) {
      const { code, stderr } = await ran("check", name);
      expect(stderr).toBe("");
      expect(code).toBe(EXIT.done);
    }
  });
});

describe("any command line (property)", () => {
  it("ends with a documented code and never with a stack", async () => {
    const word = fc.oneof(
      fc.constantFrom(
        ...COMMANDS.map((command) => command.name),
        "help",
        "swap.yaml",
        "jobs/bad.yaml",
        "present.csv",
        "--json",
        "--help",
        "-h",
        "--",
        "-",
        "--out",
        "--out=",
        "--replace",
        "--version",
        "--json=1",
        "",
        " ",
        "__proto__",
        "--__proto__",
        "constructor",
        "-jh",
        "--no-json",
        "swap",
      ), // prettier-ignore
      fc.string({ maxLength: 12, unit: "binary" }).filter((text) => !text.includes("/")),
    );
    const before = readdirSync(folder).sort();
    await fc.assert(
      fc.asyncProperty(fc.array(word, { maxLength: 5 }), async (argv) => {
        // Writing commands are given no folder that could be made here by chance.
        if (argv.some((one, i) => one.startsWith("--out") && (argv[i + 1] ?? "") !== "")) return;
        const { code, stderr } = await ran(...argv);
        expect([EXIT.done, EXIT.input, EXIT.usage, EXIT.file]).toContain(code);
        expect(stderr).not.toMatch(/^\s+at .*:\d+:\d+\)?$/mu);
      }),
      fuzzRuns(400, 9),
    );
    expect(readdirSync(folder).sort()).toEqual(before);
  });
});
