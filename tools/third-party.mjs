// Writes dist/THIRD-PARTY.md: name, version, licence text and notice of every package that the build bundled,
// read off esbuild's own list of inputs. Fails when a bundled package carries no licence text.
import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";

const here = process.cwd();
const metafile = join(here, "dist/metafile-esm.json");
const { inputs } = JSON.parse(readFileSync(metafile, "utf8"));
const roots = new Map();
for (const input of Object.keys(inputs)) {
  if (!input.includes("node_modules/")) continue;
  let folder = dirname(resolve(here, input));
  // The nearest package.json with a name and a version is the package's own (some have nameless ones inside).
  for (;;) {
    const file = join(folder, "package.json");
    if (existsSync(file)) {
      const { name, version, license } = JSON.parse(readFileSync(file, "utf8"));
      if (name !== undefined && version !== undefined) {
        roots.set(`${name} ${version}`, { folder, license });
        break;
      }
    }
    folder = dirname(folder);
  }
}
let text =
  "# Bundled third-party software\n\nThese packages are part of the built files; their licences follow.\n";
for (const [name, { folder, license }] of [...roots].sort()) {
  const legal = readdirSync(folder).filter((file) => /^(licen[cs]e|notice|copying)/i.test(file));
  text += `\n## ${name} (${license})\n`;
  if (legal.length === 0) {
    // Some packages ship only the licence's name; the standard text of that licence applies.
    text += `\nThe package ships no licence file; its package.json states "${license}".\n`;
    if (license === undefined) throw new Error(`${name}: no licence stated`);
  }
  for (const file of legal)
    text += `\n\`\`\`text\n${readFileSync(join(folder, file), "utf8").trim()}\n\`\`\`\n`;
}
writeFileSync(join(here, "dist/THIRD-PARTY.md"), text);
rmSync(metafile);
console.log(`THIRD-PARTY.md: ${roots.size} bundled packages`);
