// docs/decisions/0002-dependencies.md against the manifests and against what the sources import: a package that the page names is used
// where the page says, and nothing else is.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";

const root = new URL("../../", import.meta.url).pathname;
const read = (name: string): string => readFileSync(join(root, name), "utf8");

interface Row {
  readonly names: readonly string[];
  readonly kept: readonly string[];
}

/** Rows of the page's table. */
const rows: readonly Row[] = read("docs/decisions/0002-dependencies.md")
  .split("\n")
  .filter((line) => line.startsWith("| ") && !line.startsWith("| package ") && !line.startsWith("| --- "))
  .map((line) => {
    const [names, , kept] = line.split("|").slice(1);
    const list = (cell: string | undefined): string[] =>
      (cell ?? "").split(",").map((name) => name.trim().replaceAll("`", ""));
    return { names: list(names), kept: list(kept) };
  })
  .filter(({ names }) => !names[0]?.startsWith("node:"));

const ROOMS_AND_PACKAGES =
  /^(units|fit|air|curve|sensor|intake|drive|columns|text|document|stage|account|files|report|cli|simulator)$/;
const inProduct = ({ kept }: Row): boolean => kept.some((place) => ROOMS_AND_PACKAGES.test(place));

/** Packages that the product's sources import, with the room or package that does. */
function imported(): ReadonlyMap<string, ReadonlySet<string>> {
  const found = new Map<string, Set<string>>();
  for (const name of ["bellmouth", "report", "cli", "simulator"]) {
    const folder = join(root, "packages", name, "src");
    for (const file of readdirSync(folder, { recursive: true, encoding: "utf8" })) {
      if (!file.endsWith(".ts") || file.endsWith(".test.ts")) continue;
      const place = name === "bellmouth" ? (file.split("/")[0] as string) : name;
      const text = readFileSync(join(folder, file), "utf8");
      for (const [, from] of text.matchAll(/^(?:import|export|\}).* from "([a-z@][\w@/.-]*)";$/gm)) {
        const specifier = from as string;
        if (/^(node:|bellmouth|@bellmouth\/)/.test(specifier)) continue;
        const parts = specifier.split("/");
        const dependency = specifier.startsWith("@") ? parts.slice(0, 2).join("/") : (parts[0] as string);
        found.set(dependency, (found.get(dependency) ?? new Set()).add(place));
      }
    }
  }
  return found;
}

/** Packages of all manifests, but for our own and for types. */
const declared = [
  "package.json",
  ...["bellmouth", "report", "cli", "simulator"].map((name) => `packages/${name}/package.json`),
]
  .flatMap((name) => {
    const manifest = JSON.parse(read(name)) as { dependencies?: object; devDependencies?: object };
    return [...Object.keys(manifest.dependencies ?? {}), ...Object.keys(manifest.devDependencies ?? {})];
  })
  .filter((name) => !/^(@types\/|@bellmouth\/|bellmouth$)/.test(name));

describe("the page on dependencies", () => {
  const named = rows.flatMap(({ names }) => names);

  it("names what the manifests declare, and nothing else", () => {
    expect(named.length).toBeGreaterThan(10);
    expect([...new Set(named)].sort()).toEqual([...new Set(declared)].sort());
  });

  it("says where the product imports each", () => {
    const used = imported();
    const says = new Map(
      rows.filter(inProduct).flatMap(({ names, kept }) => names.map((name) => [name, [...kept].sort()])),
    );
    expect(Object.fromEntries([...used].map(([name, places]) => [name, [...places].sort()]))).toEqual(
      Object.fromEntries(says),
    );
  });

  it("names for tests, benchmarks, tools and the build only what those use", () => {
    const texts = ["tests", "tools", "examples", "packages"]
      .flatMap((folder) =>
        readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
          .filter(
            (name) =>
              /\.(ts|mjs|cjs|json)$/.test(name) &&
              !/node_modules|dist\/|dependencies\.test|package\.json$/.test(name),
          )
          .map((name) => read(join(folder, name))),
      )
      .concat(
        read("package.json").replace(/"(dev)?[dD]ependencies": \{[^}]*\}/g, ""),
        read(".dependency-cruiser.cjs"),
        read("biome.json"),
        read("vitest.config.ts"),
      );
    const commands: Readonly<Record<string, string>> = {
      typescript: "tsc -p",
      "dependency-cruiser": "depcruise",
      "@biomejs/biome": "biome check",
      "@arethetypeswrong/cli": "attw",
      "@changesets/cli": "changeset",
    };
    const unused = rows
      .filter((row) => !inProduct(row))
      .flatMap(({ names }) => names)
      .filter(
        (name) =>
          !texts.some((text) => text.includes(`"${name}`) || text.includes(commands[name] ?? `${name}/`)),
      );
    expect(unused).toEqual([]);
  });
});
