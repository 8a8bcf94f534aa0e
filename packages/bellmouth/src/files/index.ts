export { readTextFile, textOpener } from "./read-text-file.js";
export { writeResultFile } from "./write-result-file.js";
export {
  RESULT_MARK,
  recoverResultFolder,
  type WriteOptions,
  writeResultFolder,
} from "./write-result-folder.js";
