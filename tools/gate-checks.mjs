// The gate's checks, in order. `npm test` comes early: it installs and builds what the others use.
const pnpm = (...rest) => ["npx", "--yes", "pnpm@10.34.9", ...rest];

export const checks = [
  { name: "browser at hand", command: ["node", "tools/ensure-chromium.mjs"] },
  { name: "tests", command: ["npm", "test"], countsTests: true },
  // The tests build no declarations; the checks from here on need them.
  {
    name: "build",
    command: ["node", "tools/quiet.mjs", "node_modules/.cache/build.log", ...pnpm("run", "build")],
  },
  { name: "lint and rooms", command: pnpm("run", "lint") },
  { name: "types", command: pnpm("run", "types") },
  { name: "accuracy page", command: pnpm("run", "accuracy:check") },
  {
    name: "fuzz",
    command: pnpm(...["exec", "vitest", "run"], ...["tests/property/fuzz-", "tests/end-to-end/write-races"]),
    environment: { BELLMOUTH_FUZZ: "full" },
  },
  { name: "demo", command: ["npm", "run", "demo"] },
  { name: "examples", command: pnpm("run", "examples") },
  { name: "docs", command: pnpm("run", "docs") },
  { name: "API reference", command: pnpm("run", "api") },
  { name: "packages", command: pnpm("run", "packages") },
  { name: "consumers", command: pnpm("run", "consumers") },
  { name: "budgets", command: pnpm("run", "budgets") },
];
