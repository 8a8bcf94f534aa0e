// Builds examples/browser into examples/browser/built: one script, one style sheet, no server needed.
import { mkdirSync, writeFileSync } from "node:fs";
import { STYLE } from "@bellmouth/report/charts";
import { build } from "esbuild";

const folder = new URL("../examples/browser/", import.meta.url).pathname;
mkdirSync(`${folder}built`, { recursive: true });
const { warnings } = await build({
  entryPoints: [`${folder}page.ts`],
  outfile: `${folder}built/page.js`,
  bundle: true,
  minify: true,
  format: "iife",
  platform: "browser",
  target: "es2022",
  loader: { ".csv": "text" },
  // The built packages, as a user would have them, not the sources that tsconfig.json points to.
  tsconfigRaw: {},
  logOverride: { "ignored-bare-import": "silent" },
  logLevel: "warning",
});
if (warnings.length > 0) process.exit(1);
writeFileSync(
  `${folder}built/page.css`,
  `${STYLE}
form p{display:flex;flex-wrap:wrap;gap:.6rem 1rem;align-items:center}
form label{display:inline-flex;gap:.5rem;align-items:center}
input[type=range]{flex:1;min-width:14rem}
input[type=number]{width:6rem;font:inherit}
figure h2{border:0;margin:0;padding:0;font-size:1.02rem}
`,
);
