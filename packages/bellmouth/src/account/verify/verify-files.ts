import type { VerifyResult } from "../../stage/index.js";
import { toMarkdown } from "../render-markdown.js";
import type { ResultFile } from "../result-file.js";
import { verifyAccount } from "./verify-account.js";

/** Files of a verified table: summary and data. */
export const verifyFiles = (result: VerifyResult): readonly ResultFile[] => [
  { name: "summary.md", text: toMarkdown(verifyAccount(result)) },
  { name: "verify.json", text: `${JSON.stringify(result, null, 2)}\n` },
];
