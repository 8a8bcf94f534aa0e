export { type BlockSource, withBlocks } from "./read-blocks.js";
export { readTextFile, textOpener } from "./read-text-file.js";
export { type Relation, relationOf } from "./relation.js";
export { RESULT_MARK } from "./result-mark.js";
export { writeResultFile } from "./write-result-file.js";
export { recoverResultFolder, type WriteOptions, writeResultFolder } from "./write-result-folder.js";
