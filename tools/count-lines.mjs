// Source lines by room: neither blank nor comment alone, tests left out. Doc comments are counted beside them.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

const root = new URL("../", import.meta.url).pathname;

/** Files of a folder that count, by path. */
const sources = (folder) =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith(".ts") && !entry.name.endsWith(".test.ts"))
    .map((entry) => join(entry.parentPath, entry.name));

/** Lines of code and lines of comment of one file. */
function count(file) {
  let code = 0;
  let comment = 0;
  let inside = false;
  for (const line of readFileSync(file, "utf8").split("\n")) {
    const text = line.trim();
    if (text === "") continue;
    const opens = !inside && text.startsWith("/*");
    if (inside || opens || text.startsWith("//")) comment += 1;
    else code += 1;
    if (inside || opens) inside = !text.includes("*/");
  }
  return { code, comment };
}

const rooms = {};
const library = join(root, "packages/bellmouth/src");
for (const entry of readdirSync(library, { withFileTypes: true })) {
  rooms[entry.isDirectory() ? entry.name : "face (index.ts)"] = entry.isDirectory()
    ? sources(join(library, entry.name))
    : [join(library, entry.name)];
}
for (const name of ["report", "cli", "simulator"]) rooms[name] = sources(join(root, "packages", name, "src"));

const total = { files: 0, code: 0, comment: 0, longest: 0 };
console.log("room                files   code comment  over 250 lines");
for (const [room, files] of Object.entries(rooms)) {
  const counts = files.map(count);
  const row = {
    files: files.length,
    code: counts.reduce((sum, one) => sum + one.code, 0),
    comment: counts.reduce((sum, one) => sum + one.comment, 0),
    longest: counts.filter((one) => one.code + one.comment > 250).length,
  };
  for (const key of Object.keys(total)) total[key] += row[key];
  console.log(
    `${room.padEnd(18)} ${String(row.files).padStart(6)} ${String(row.code).padStart(6)} ${String(row.comment).padStart(7)} ${String(row.longest).padStart(8)}`,
  );
}
console.log(
  `${"all".padEnd(18)} ${String(total.files).padStart(6)} ${String(total.code).padStart(6)} ${String(total.comment).padStart(7)} ${String(total.longest).padStart(8)}`,
);
